"""The words for 49 CFR 393.116 to 393.122."""

TITLES = {
    # 393.116
    # 393.118
    # 393.120
    "us-393.120-count": "number of tie-downs on a coil",
    "us-393.120-x-pattern": "tie-downs crossing in the eye",
    "us-393.120-aggregate": "aggregate working load limit, coils",
    # 393.122
}
QUESTIONS = {
    # 393.116
    # 393.118
    # 393.120
    "us-393.120-count": "Are there the tie-downs that a coil asks for on {about}?",
    "us-393.120-x-pattern": "Do no two tie-downs cross in the eye of {about}?",
    "us-393.120-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
    # 393.122
}
STEPS = {
    # 393.116
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
    "facts.processed": "whether {about} are processed logs",
    # 393.118
    # 393.120
    "facts.rows": "how many transverse rows of coils {about} has",
    "facts.anchor_points": "whether the vehicle or container with {about} has anchor points",
    # 393.122
}
ASKED = {
    # 393.116
    "116-stakes": "Can the stakes and bunks hold the load, and can no loose stake come off?",
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
