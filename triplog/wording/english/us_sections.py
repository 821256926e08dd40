"""The words that the commodity sections of 49 CFR part 393 share."""

STEPS = {
    "provided.kind": "{tie_downs} for line {place}",
    "provided.kind-none": "none for line {place}",
    "provided.none-of-the-kind": "none of the tie-downs on it is of that kind",
    "note.answered-yes": "yes: {asked}",
    "note.answered-no": "no: {asked}",
    "note.answered-not-looked-at": "not looked at: {asked}",
    "note.answered-by-nobody": "not answered: {asked}",
    "mend.kinds": "add {short} of the kind that is short",
    "mend.answered-no": "put right what was answered with no",
}
FIELDS = {
    "body": "what kind of body or trailer carries it",
    "lay": "how {about} lies over the article: crosswise, lengthwise or diagonal",
    "facts.pieces": "how many pieces {about} has",
    "facts.tiers": "how many layers {about} has",
    "facts.stacks": "how many stacks {about} has",
    "facts.diameter": "the diameter of {about}",
    "facts.eye": "which way the eye of {about} faces: up, across or along the vehicle",
    "facts.unitized": "whether {about} is banded or wrapped into one unit",
    "through_eye": "whether {about} runs through the eye or bore",
}
