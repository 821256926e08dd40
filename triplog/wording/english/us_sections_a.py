"""The words for 49 CFR 393.116 to 393.122."""

TITLES = {
    # 393.116
    "us-393.116-count": "number of tie-downs or wrappers on logs",
    "us-393.116-enclosed": "walls round firewood, stumps and debris",
    "us-393.116-overhang": "logs beyond their support",
    "us-393.116-edge-raised": "outer edges of two stacks, raised",
    "us-393.116-edge-within": "outer edges of two stacks, where they are raised",
    "us-393.116-height": "height of two stacks",
    "us-393.116-bunks": "bunks under longwood",
    "us-393.116-wrappers-apart": "distance between the wrappers",
    "us-393.116-wrappers": "wrappers for logs above the bunks",
    "us-393.116-aggregate": "aggregate working load limit, logs",
    # 393.118
    # 393.120
    "us-393.120-count": "number of tie-downs on a coil",
    "us-393.120-x-pattern": "tie-downs crossing in the eye",
    "us-393.120-aggregate": "aggregate working load limit, coils",
    # 393.122
}
QUESTIONS = {
    # 393.116
    "us-393.116-count": "Are there enough tie-downs or wrappers on the logs of {about}?",
    "us-393.116-enclosed": "Is {about} enclosed on both sides, in front and behind?",
    "us-393.116-overhang": "Do the logs of {about} reach no further beyond their support than they "
    "may?",
    "us-393.116-edge-raised": "Are the outer edges of the stacks of {about} raised enough?",
    "us-393.116-edge-within": "Are they raised near enough to the ends of the logs of {about} or "
    "the side of the vehicle?",
    "us-393.116-height": "Is the highest log of {about} low enough?",
    "us-393.116-bunks": "Does the longwood of {about} lie in enough bunks?",
    "us-393.116-wrappers-apart": "Are the front and rear wrapper round {about} far enough apart?",
    "us-393.116-wrappers": "Are there the further wrappers for the logs of {about} above the "
    "bunks?",
    "us-393.116-aggregate": "Do the tie-downs on {about} add up to the share of the weight that "
    "logs ask for?",
    # 393.118
    # 393.120
    "us-393.120-count": "Are there the tie-downs that a coil asks for on {about}?",
    "us-393.120-x-pattern": "Do no two tie-downs cross in the eye of {about}?",
    "us-393.120-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.122
}
STEPS = {
    # 393.116
    "required.sixth": "a sixth of {mass}",
    "required.sixth-unknown": "a sixth of the weight, and the mass of {names} is not known",
    "required.logs-open": "by the way the logs lie and what carries them",
    "required.logs-crosswise": "logs crosswise: {number} along the load, from front to rear",
    "required.logs-lengthwise": "logs lengthwise: two tie-downs, or two wrappers round them",
    "required.logs-blocked": "logs lengthwise: one tie-down where shortwood is blocked in front "
    "and behind, else two, or two wrappers round them",
    "required.logs-pole": "pole trailer: a tie-down at each bunk, or two wrappers round the load",
    "required.logs-wrappers": "wrappers round the whole load",
    "required.logs-overhang": "at most a third of the length of the log",
    "required.logs-edge-raised": "at least, on the outside of each stack",
    "required.logs-edge-within": "at most, from the end of the logs or the side of the vehicle",
    "required.logs-height": "at most, above the deck",
    "required.logs-bunks": "under longwood",
    "required.logs-wrappers-apart": "at least, between the front and the rear wrapper",
    "required.logs-wrappers-above": "two more for large logs that rise above the bunks, beside "
    "what holds the load below",
    "note.logs-enclosed": "held by walls on four sides; no tie-downs are asked for",
    "note.logs-crib": "a crib-type log trailer loaded as the section says needs no tie-downs; the "
    "answers to its questions decide",
    "note.logs-share-open": "a sixth of the weight on a frame vehicle or flatbed, half on others, "
    "none on a crib-type trailer",
    "note.logs-wrappers-rating": "wrappers hold the logs without an anchor point, and the text "
    "does not say what they add to the combined rating",
    "mend.logs-enclosed": "carry it in a body with strong walls on all four sides",
    "mend.logs-overhang": "support the lower logs nearer to their ends",
    "mend.logs-edge-raised": "raise the outside of each stack",
    "mend.logs-edge-within": "raise the stacks nearer to the ends of the logs",
    "mend.logs-height": "take logs off until the highest is low enough",
    "mend.logs-bunks": "lay the longwood in at least two bunks",
    "mend.logs-wrappers-apart": "set the wrappers further apart",
    "mend.logs-wrappers": "put more wrappers round the load",
    # 393.118
    # 393.120
    "required.coil-open": "by the way the eye faces, where there are anchor points",
    "required.coil-eye-unknown": "two or more, by the way the eye faces",
    "required.coil-diagonal": "eye up: {number} diagonally over it, one each way",
    "required.coil-over-eye": "{number} crosswise over the eye",
    "required.coil-ends": "a row with the eyes up: {number}, one against its front and one against "
    "its rear",
    "required.coil-rows": "at least {number}, one crosswise over each coil or transverse row",
    "required.coil-rows-both": "a row with the eyes along the vehicle: at least {number}, two "
    "crosswise over each coil or transverse row",
    "required.coil-through-eye": "eye crosswise: {number} through the eye, one against moving "
    "forward and one rearward for each coil",
    "required.coil-over": "{number} crosswise over the top",
    "required.coil-over-both": "eye along the vehicle: {number} crosswise over the top, over the "
    "front and the rear part",
    "required.coil-straight": "eye along the vehicle: {number} straight through it, left to left "
    "and right to right",
    "required.coil-diagonal-eye": "eye along the vehicle: {number} diagonally through it, one each "
    "way",
    "note.coil-options": "the section leaves three ways to tie down a coil with its eye along the "
    "vehicle; the one that comes nearest is shown",
    "note.coil-crosswise-rows": "the section does not speak of rows whose coils touch with their "
    "eyes crosswise, so each is counted as a coil alone; an exemption was renewed in April 2022 "
    "(Federal Register document 2022-08806): look whether it holds for you",
    "note.coil-no-anchors": "no anchor points: the section asks for loading that cannot shift or "
    "tip, and for no number of tie-downs",
    "note.coil-maybe-no-anchors": "without anchor points no tie-downs are asked for, and with them "
    "half the weight",
    "mend.coil-x-pattern": "run the tie-downs straight through the eye, one forward and one "
    "rearward",
}
FIELDS = {
    # 393.116
    "facts.processed": "whether the logs of {about} are processed",
    "facts.firewood": "whether {about} is firewood, stumps, debris or other short logs",
    "facts.logs_lie": "which way the logs of {about} lie: crosswise or lengthwise",
    "facts.shortwood": "whether the logs of {about} are shortwood, up to 16 ft",
    "facts.bunks": "how many bunks carry {about}",
    "facts.wrappers": "how many wrappers go round the whole load of {about}",
    "facts.wrappers_apart": "how far apart the front and rear wrapper round {about} are",
    "facts.above_bunks": "whether large logs of {about} rise above the bunks",
    "facts.log_length": "the length of the logs of {about}",
    "facts.overhang": "how far the lower logs of {about} reach beyond their support",
    "facts.edge_raised": "how much the outside of the stacks of {about} is raised",
    "facts.edge_within": "how far from the ends of the logs the stacks of {about} are raised",
    "facts.highest_log": "how high above the deck the highest log of {about} is",
    "rating of the wrappers": "what the wrappers round {about} count",
    # 393.118
    # 393.120
    "facts.rows": "how many transverse rows of coils {about} has",
    "facts.anchor_points": "whether the vehicle or container with {about} has anchor points",
    # 393.122
}
ASKED = {
    # 393.116
    "116-enclosed": "Are the walls on both sides, in front and behind strong enough to hold it?",
    "116-cradled": "Is the vehicle built or fitted for logs, with bunks, bolsters, stakes or the "
    "like that cradle them and keep them from rolling?",
    "116-stakes": "Can the stakes and bunks hold the load, and can no loose stake come off?",
    "116-packed": "Are the logs solidly packed, the outer bottom ones resting against bunks, "
    "bolsters or stakes?",
    "116-outside": "Does each outside log touch two stakes or bunks, or where one end does not, "
    "rest firmly on other logs and reach beyond the stake?",
    "116-top": "Is the middle of the highest outside log on each side lower than the tops of the "
    "stakes?",
    "116-loose": "Is each log that other logs or stakes do not hold held by a tie-down?",
    "116-slippery": "If the logs are likely to slip on each other (wet, icy, without bark), are "
    "there more tie-downs for it?",
    "116-along": "Are the tie-downs fastened to the vehicle frame in front of the load and behind "
    "it?",
    "116-thirds": "If there are two tie-downs, do they lie at about one and two thirds of the "
    "length of the logs?",
    "116-centre-stakes": "If the vehicle is longer than 33 ft (10 m), do stakes in the middle "
    "divide it, with a tie-down over the highest logs on each side of them?",
    "116-anchored": "Is every stake or structure that tight tie-downs pull upwards held down?",
    "116-no-gap": "Is there no gap between the two stacks?",
    "116-placed": "Are the tie-downs or wrappers where they hold the whole load, a single one "
    "about midway between the stakes?",
    "116-each-bunk": "Is there a tie-down at each bunk?",
    "116-chocked": "If it is a load of one or two large logs, are they chocked or otherwise kept "
    "from shifting?",
    # 393.118
    # 393.120
    "120-diagonals": "Do the two diagonal tie-downs run opposite ways, one from the front left to "
    "the rear right, one from the front right to the rear left?",
    "120-tipping": "Are the tie-downs so placed that no coil can tip forward, rearward or "
    "sideways?",
    "120-forward": "Is the coil kept from moving forward by blocking and bracing, friction mats or "
    "tie-downs?",
    "120-front-rear": "Does one tie-down hold the front of the row and one the rear, each as flat "
    "as practicable, 45 degrees or less?",
    "120-near-eye": "Does each tie-down over the top lie as near to the eye as practicable?",
    "120-support": "Is the coil kept from rolling by timbers, chocks, wedges or a cradle that hold "
    "it off the deck and cannot come loose on the road?",
    "120-nailed": "Are the timbers, chocks or wedges held by coil bunks or the like, not by nailed "
    "blocking or cleats alone, and is no nailed wood cradle used?",
    "120-each-way": "Does one tie-down through the eye hold against moving forward and one against "
    "moving rearward, each as flat as practicable, 45 degrees or less?",
    "120-straight": "Does one tie-down run through the eye from left to left and one from right to "
    "right, each as flat as practicable, 45 degrees or less?",
    "120-both-parts": "Does one tie-down lie over the front part of each coil or transverse row "
    "and one over the rear part?",
    "120-along": "Is the coil kept from moving along the vehicle by blocking, bracing or friction "
    "mats?",
    "120-contained": "Are the coils so loaded, blocked and braced that they can neither shift nor "
    "tip?",
    # 393.122
}
