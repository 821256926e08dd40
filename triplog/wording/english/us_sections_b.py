"""The words for 49 CFR 393.124 to 393.136."""

TITLES = {
    # 393.124
    "us-393.124-count": "number of tie-downs on pipe",
    "us-393.124-groups": "pipes of one diameter in a group",
    "us-393.124-aggregate": "aggregate working load limit, pipe",
}
QUESTIONS = {
    # 393.124
    "us-393.124-count": "Are there the tie-downs that concrete pipe asks for on {about}?",
    "us-393.124-groups": "Are the pipes of {about} all of one diameter?",
    "us-393.124-aggregate": "Do the tie-downs on {about} add up to at least half the weight?",
}
STEPS = {
    # 393.124
    "required.pipe-open": "by the inside diameter of the pipes",
    "required.pipe-each": "{number} through the bores, one for each pipe, among them the front and "
    "the rear one",
    "required.pipe-ends": "{number} through the bores of the bottom tier, one through the front "
    "pipe running rearward and one through the rear pipe running forward",
    "required.pipe-lengthwise": "{number} of chain or wire rope of at least {size} lengthwise over "
    "the group",
    "required.pipe-crosswise": "{number} crosswise, one for every {every} of load",
    "required.pipe-wide": "{number} through the bores, one for each pipe, two where a front or "
    "rear pipe touches nothing at its end",
    "note.pipe-fraction": "the text says every so many and nothing of a part; with a part "
    "counted as well it would be {number} crosswise",
    "mend.pipe-groups": "make a group of each diameter, and tie down each by itself",
}
FIELDS = {
    # 393.124
    "at": "the place of {about}",
    "size": "the size of {about}",
}
ASKED = {
    # 393.124
    "124-blocking": "Do blocks under the pipes stand evenly on both sides of the middle, and is "
    "every block of timber at least 4 in by 6 in (10 cm by 15 cm)?",
    "124-ends": "Is the bottom tier held at both ends by blocking, the vehicle's end structure, "
    "stakes or a locked pipe unloader?",
    "124-front-rear": "Does the tie-down through the front pipe run rearward and the one through "
    "the rear pipe forward, each at 45 degrees or less where practicable?",
    "124-third-tier": "Are the wells of the tiers below full, so that a third tier may stand on "
    "them?",
    "124-large-ends": "Are the front and the rear pipe held by blocking, wedges, the vehicle's end "
    "structure, stakes or a locked pipe unloader?",
    "124-halves": "Do the tie-downs of the front half and of the middle pipe run rearward and "
    "those of the rear half forward, each at 45 degrees or less where practicable?",
}
