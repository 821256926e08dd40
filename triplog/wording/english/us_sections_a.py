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
    "us-393.118-count": "number of tie-downs on lumber in tiers",
    "us-393.118-middle-height": "height of the middle tier that is tied",
    "us-393.118-spacers": "spacers",
    "us-393.118-tiers": "several tiers entered as one article",
    # 393.120
    "us-393.120-count": "number of tie-downs on a coil",
    "us-393.120-x-pattern": "tie-downs crossing in the eye",
    "us-393.120-aggregate": "aggregate working load limit, coils",
    # 393.122
    "us-393.122-count": "number of tie-downs on paper rolls",
    "us-393.122-aggregate": "aggregate working load limit, paper rolls",
    "us-393.122-stacked": "rolls stacked with their eyes up",
    "us-393.122-blocking-roll": "height of the blocking roll",
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
    "us-393.118-count": "Are there enough tie-downs over {about}?",
    "us-393.118-middle-height": "Is the top of {about}, the middle tier that is tied, low enough?",
    "us-393.118-spacers": "Are the spacers under {about} at least as wide as high?",
    "us-393.118-tiers": "Over which tiers of {about} do the tie-downs lie?",
    # 393.120
    "us-393.120-count": "Are there the tie-downs that a coil asks for on {about}?",
    "us-393.120-x-pattern": "Do no two tie-downs cross in the eye of {about}?",
    "us-393.120-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.122
    "us-393.122-count": "Is a number of tie-downs asked for on {about}?",
    "us-393.122-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    "us-393.122-stacked": "If the eyes of {about} face up, is there one layer only?",
    "us-393.122-blocking-roll": "Is the blocking roll at {about} tall enough?",
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
    "required.lumber-over": "at least {number} over it, as the general rules count its length",
    "required.lumber-top": "at least {number} over it, as the general rules count its length, and "
    "never fewer than two over a top bundle longer than 5 ft",
    "required.lumber-middle-height": "at most, above the deck, unless the second tier is tied",
    "required.lumber-spacers": "the height of a spacer; it is at least as wide",
    "note.lumber-held-from-above": "held by the tie-downs over the tiers above",
    "note.lumber-tiers-in-one": "the plan does not tell over which tier a tie-down lies as long as "
    "the tiers are one article",
    "mend.lumber-middle-height": "tie down a lower tier, or the second from the bottom",
    "mend.lumber-spacers": "lay the spacers flat, or use wider ones",
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
    # 393.122
    "required.rolls-blocking-above": "at least, above the rolls it blocks",
    "required.rolls-blocking-height": "at least one and a half times the diameter of the roll it "
    "blocks",
    "note.rolls-between-walls": "between walls on four sides the section asks for no number or "
    "rating of tie-downs; the answers to its questions decide",
    "note.rolls-body-open": "on a flatbed or behind curtains the general count and rating hold "
    "too; between walls they do not",
    "mend.rolls-stacked": "load one layer, or carry them in a vehicle with walls",
    "mend.rolls-blocking": "use a taller blocking roll, or raise it on dunnage",
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
    "facts.overhang": "how far {about} overhangs what it lies on",
    "facts.edge_raised": "how much the outside of the stacks of {about} is raised",
    "facts.edge_within": "how far from the ends of the logs the stacks of {about} are raised",
    "facts.highest_log": "how high above the deck the highest log of {about} is",
    "rating of the wrappers": "what the wrappers round {about} count",
    # 393.118
    "facts.tiers_held": "how the tiers of {about} are held: stakes, blocking between them, direct, "
    "spacers or each tier tied",
    "facts.top_height": "how high above the deck the top of {about} is",
    "facts.spacer_width": "how wide the spacers under {about} are",
    "facts.spacer_height": "how high the spacers under {about} are",
    "tiers as articles": "the tiers of {about}, each as an article on the one below",
    # 393.120
    "facts.rows": "how many transverse rows of coils {about} has",
    "facts.anchor_points": "whether the vehicle or container with {about} has anchor points",
    # 393.122
    "facts.roll_width": "how wide the rolls of {about} are from end to end",
    "facts.void_behind": "how much room there is behind {about}",
    "facts.mats_alone": "whether friction mats alone hold {about} forward",
    "facts.gap": "how much room there is at both ends of {about} together",
    "facts.blocking_roll_above": "how far the blocking roll stands above {about}",
    "facts.blocking_roll_height": "how tall the blocking roll at {about} is",
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
    "118-beside": "If bundles lie side by side, do they touch, or are they kept from shifting "
    "towards each other?",
    "118-stakes": "Do stakes on both sides of the vehicle stop every tier sideways?",
    "118-blocking": "Do blocking or high-friction devices between the tiers stop them sideways?",
    "118-spacers": "Do the spacers support every piece of the bottom row, and is a spacer of "
    "layers fastened into one?",
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
    "122-tight": "Do the rolls stand tight against the walls, each other or other cargo?",
    "122-sideways": "If the rolls do not reach the walls, are they kept from moving sideways by "
    "filling, blocking, bracing, tie-downs, friction mats or bands?",
    "122-behind": "Are the rolls kept from moving rearward into the room behind them by friction "
    "mats, blocking, bracing, tie-downs or bands?",
    "122-tip-sideways": "Is every roll kept from tipping sideways and rearward by the vehicle, "
    "other cargo, bands to other rolls, bracing or tie-downs?",
    "122-tip-forward": "Are the foremost rolls kept from tipping forward by the vehicle, other "
    "cargo, bands to other rolls, bracing or tie-downs?",
    "122-bands": "If rolls are banded, do they stand tight together, with tight bands that cannot "
    "slip off?",
    "122-mats": "If a friction mat is the main hold of a roll, does it stick out from under it "
    "towards that side?",
    "122-split": "If the load is split, is each part kept from moving forward by the vehicle, "
    "other cargo, filling, blocking, bracing, tie-downs or friction mats?",
    "122-layer-below": "Does the layer under each layer reach the front of the vehicle?",
    "122-upper-layers": "Are the upper layers held in every direction as the bottom one, or by a "
    "blocking roll?",
    "122-raised-rear": "If the rearmost rolls of a layer are raised on dunnage, are they held by "
    "more than friction mats?",
    "122-rolling": "Are the rolls kept from rolling and shifting along the vehicle by the vehicle, "
    "other cargo, chocks, wedges, blocking, bracing or tie-downs?",
    "122-chocks": "If chocks, wedges or blocking are used, does more than friction hold them?",
    "122-doors": "Is the rearmost roll held by something else than the rear doors or blocking they "
    "hold?",
    "122-ends": "Are the rolls kept from shifting towards the walls by filling, blocking, bracing, "
    "friction mats or tie-downs?",
    "122-wells": "Is every well of a layer filled before a further layer lies on it?",
    "122-foremost": "Is the foremost roll of each upper layer, and any with an empty well in "
    "front, banded to others, blocked by an upright roll on the floor, or lying in a well of rolls "
    "at least as large?",
    "122-last-wells": "If the rearmost roll of an upper layer lies in one of the last two wells, "
    "is it banded to others?",
    "122-forward": "Is each roll kept from moving forward by the vehicle, other cargo, blocking or "
    "tie-downs?",
    "122-rearward": "Is each roll kept from moving rearward by other cargo, blocking, friction "
    "mats or tie-downs?",
    "122-lateral": "Is each roll kept from rolling sideways by the wall, other cargo, chocks, "
    "wedges or blocking?",
    "122-next-layer": "Is there no roll in a higher layer that would fit into the one below?",
    "122-in-wells": "Do the rolls of an upper layer lie in the wells of the one below?",
    "122-upper-ends": "Are the rolls of an upper layer held forward and rearward as the bottom "
    "one, by a blocking roll or by bands?",
}
