"""The words for the truck loading code of New Zealand."""

TITLES = {"nz-code-multiple": "summed rated strength"}
QUESTIONS = {
    "nz-code-multiple": "Do the tie-downs on {about} add up to the multiple of the weight that the "
    "headboard leaves to them?",
}
STEPS = {
    "required.nz-none": "twice {mass}, no headboard",
    "required.nz-none-unknown": "twice the weight, no headboard, and the mass of {names} is not "
    "known",
    "required.nz-part": "one and a half times {mass}, the headboard holds only the lower part",
    "required.nz-part-unknown": "one and a half times the weight, the headboard holds only the "
    "lower part, and the mass of {names} is not known",
    "required.nz-whole": "once {mass}, the headboard holds the whole load",
    "required.nz-whole-unknown": "once the weight, the headboard holds the whole load, and the "
    "mass of {names} is not known",
    "required.nz-open": "between {least} and {most} times the weight, by what the headboard holds",
    "note.nz-straight-down": "for a rigid load held down by devices that run straight down; chain "
    "and wire rope by their breaking force, webbing and rope by half of it, anchor points by "
    "their breaking strength, which a rating does not say",
    "note.nz-one-source": "the multiples were read in one summary, not in the code itself",
    "note.nz-force": "a code of practice that a court looks to; another method is allowed that "
    "holds {forward} of the weight forward, {rearward} rearward, {sideways} sideways and {up} up",
}
FIELDS = {
    "nz-path": "how much is held by the path of {about}, which the multiples do not cover",
    "nz-block": "whether what blocks {about} forward holds it as a headboard would",
}
