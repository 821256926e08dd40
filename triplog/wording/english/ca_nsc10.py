"""The words for NSC Standard 10 of Canada."""

TITLES = {
    "ca-nsc10-scope": "whether the standard is law for this vehicle",
    "ca-nsc10-by-direction": "forces along the deck in Canada",
    "ca-nsc10-way-forward": "0.8 g forward in Canada, against the working load limit",
    "ca-nsc10-way-rearward": "0.5 g rearward in Canada, against the working load limit",
    "ca-nsc10-way-lateral": "0.5 g sideways in Canada, against the working load limit",
    "ca-nsc10-down": "downward force",
    "ca-nsc10-aggregate": "aggregate working load limit in Canada",
    "ca-nsc10-marking": "marked rating",
    "ca-nsc10-condition": "condition of the gear",
    "ca-nsc10-knots": "knots",
    "ca-nsc10-rub-rail": "rub rail",
    "ca-nsc10-tighten": "can be tightened on the road",
    "ca-nsc10-edges": "edge protection",
    "ca-nsc10-count": "number of tie-downs in Canada",
}
QUESTIONS = {
    "ca-nsc10-scope": "Is NSC Standard 10 law for this vehicle, by its registered gross mass?",
    "ca-nsc10-way-forward": "Is {about} held at 0.8 g of braking, no part beyond its working load "
    "limit?",
    "ca-nsc10-way-rearward": "Is {about} held at 0.5 g rearward, no part beyond its working load "
    "limit?",
    "ca-nsc10-way-lateral": "Is {about} held at 0.5 g to either side, no part beyond its working "
    "load limit?",
    "ca-nsc10-down": "Is {about} pressed down with at least a fifth of its weight?",
    "ca-nsc10-aggregate": "Do the tie-downs on {about}, half a rating for each end on an anchor "
    "point, add up to at least half the weight?",
    "ca-nsc10-marking": "What rating is marked on {about}?",
    "ca-nsc10-condition": "Is {about} free of damage?",
    "ca-nsc10-knots": "Is {about} free of knots?",
    "ca-nsc10-rub-rail": "Do the tie-downs on {about} run inside the rub rail wherever that is "
    "possible?",
    "ca-nsc10-tighten": "Can {about} be tightened on the road?",
    "ca-nsc10-edges": "Is every contact on {about} that could wear or cut a tie-down protected?",
    "ca-nsc10-count": "Are there enough marked tie-downs on {about}?",
}
STEPS = {
    "provided.unmarked": "{names}: nothing, no rating is marked",
    "provided.upright-parts": "the upright part of the tension in every leg",
    "other.ca-marked": "{tie_down}: {gear} is marked {amount}",
    "other.ca-graded": "{tie_down}: {gear} is marked with its grade and counts by the table "
    "({row})",
    "other.ca-mat-marked": "{gear}: marked {amount}",
    "note.ca-over": "law in {place} over {threshold} registered",
    "note.ca-at-least": "law in {place} from {threshold} on, as rated",
    "note.metric-first": "compared with the metric figures, which stand first in Canada",
    "note.ca-feet": "read in the feet and pounds of the driver's handbook it would be {number}",
    "note.not-counted-unmarked": "not counted: {tie_downs}, no rating is marked",
    "note.ca-unmarked": "{tie_down}: no rating is marked on {gear}, so it counts nothing",
    "note.ca-extra": "{tie_down} is more than the number asked for; one source asks a marking only "
    "of that number, another of every tie-down used, so a driver may still be charged for it",
    "note.ca-mat-unmarked": "{gear}: an unmarked friction mat counts nothing since June 2013",
    "note.ca-equivalent": "asked of a system that stands instead of the count and the sum; both "
    "are met here",
    "note.ca-instead": "asked of a system that stands instead of the count and the sum",
    "note.ca-tyres": "webbing over the tyres of a light vehicle needs no protector there, s.88(5)",
    "note.ca-commodity": "Part 2 of the standard has sections of its own for logs, lumber, coils, "
    "rolls, pipe, containers, vehicles and boulders; they are not judged here",
    "note.ca-front": "front end structures have sections of their own, which are not judged here",
    "note.stricter-here": "on a trip through both countries this is the stricter rule; {clause} is "
    "judged beside it",
    "note.stricter-there": "on a trip through both countries {clause} is the stricter rule; it is "
    "judged beside this one",
    "mend.marked": "use marked gear in place of {names}",
    "mend.rub-rail": "take the tie-downs inside the rub rail where that is possible",
}
FIELDS = {
    "registered_in": "where the vehicle is registered",
    "count": "whether {about} is needed to reach the number of tie-downs",
    "rub_rail": "whether the tie-downs on {about} run inside the rub rail (answer ca-15-rub-rail)",
}
ASKED = {
    "ca-15-rub-rail": "Does each tie-down run inside the rub rail wherever that is possible?",
}
