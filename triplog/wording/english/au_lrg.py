"""The words for the Australian loading performance standards and their guide."""

TITLES = {
    "au-lrg-forward": "held forward",
    "au-lrg-rearward": "held rearward",
    "au-lrg-sideways": "held sideways",
    "au-lrg-up": "held down where friction is relied on",
}
QUESTIONS = {
    "au-lrg-forward": "Is {about} held forward against eight tenths of its weight?",
    "au-lrg-rearward": "Is {about} held rearward against half its weight?",
    "au-lrg-sideways": "Is {about} held to each side against half its weight?",
    "au-lrg-up": "Where friction holds {about}, is it pressed down with a fifth of its weight?",
}
STEPS = {
    "required.au-share": "{portion} of {weight}, {direction}",
    "required.au-share-open": "{portion} of the weight, {direction}",
    "provided.au-friction": "friction {friction} under the weight and the clamping: {holds}",
    "provided.au-friction-between": "friction under the weight and the clamping: between {worst} "
    "and {best}",
    "provided.au-friction-open": "friction under the weight and the clamping: at least {worst}",
    "provided.au-direct": "direct lashings against this direction: {holds}",
    "provided.au-direct-between": "direct lashings against this direction: between {worst} and "
    "{best}",
    "provided.au-direct-open": "direct lashings against this direction: at least {worst}",
    "provided.au-block": "blocked by {by}: {holds}",
    "provided.au-block-between": "blocked by {by}: between {worst} and {best}",
    "provided.au-block-open": "blocked by {by}, and what that holds is not known",
    "other.au-clamp": "{tie_down}: {tension} of pre-tension, {times} times that by the angle of "
    "its legs: {worst} of clamping",
    "other.au-clamp-between": "{tie_down}: between {worst} and {best} of clamping, by what is "
    "known of its tension and its legs",
    "other.au-clamp-open": "{tie_down}: at least {worst} of clamping",
    "other.au-lashing": "{tie_down}: {capacity}, angle effect {exact}, by the next lower step "
    "{step}: {holds} (by the exact one {exactly})",
    "note.au-not-added": "each way of holding stands by itself; they are not added up",
    "note.au-no-friction": "lashings or blocking alone hold it in every direction, so friction is "
    "not relied on",
    "note.au-force": "the share of the weight is law (Schedule 7); the way of working it out is "
    "the guide's, which one page of the regulator calls information and another asks to be "
    "followed",
    "note.au-law-there": "the share of the weight is law (Schedule 7); the way of working it out "
    "is the guide's, which is said to be law in Western Australia",
    "mend.au-more": "more tie-downs or more tension, more friction, direct lashings, or blocking "
    "that holds this much",
}
FIELDS = {
    "au-path": "how much is held by the path of {about}, which this way of working out does not "
    "cover",
    "au-mix": "what the ways of holding {about} hold together, which this way of working out does "
    "not cover",
    "au-pulled-down": "what the direct lashings of {about} hold down",
}
