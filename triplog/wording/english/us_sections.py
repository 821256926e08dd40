"""The words that the commodity sections of 49 CFR part 393 share."""

STEPS = {
    "provided.kind": "{tie_downs} for line {place}",
    "provided.kind-none": "none for line {place}",
    "provided.none-of-the-kind": "none of the tie-downs on it is of that kind",
    "note.answered-yes": "yes, {id}: {asked}",
    "note.answered-no": "no, {id}: {asked}",
    "note.answered-not-looked-at": "not looked at, {id}: {asked}",
    "note.answered-by-nobody": "not answered, {id}: {asked}",
    "mend.kinds": "add {short} of the kind that is short",
    "mend.answered-no": "put right what was answered with no",
}
FIELDS = {
    "answers": "the answer to {about}",
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
