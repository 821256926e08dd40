"""The words for the static estimate."""

_TOWARDS = {"forward": "forward", "rearward": "rearward", "left": "to the left",
            "right": "to the right"}  # fmt: skip

TITLES = {
    "static-by-direction": "held, by estimate",
    **{f"static-{one}": f"held {towards}, by estimate" for one, towards in _TOWARDS.items()},
}
QUESTIONS = {
    f"static-{one}": f"Does {{about}} stay where it is when the vehicle pushes it {towards}, by a "
    "static estimate?"
    for one, towards in _TOWARDS.items()
}
STEPS = {
    "required.static": "{g} of the weight of {mass}",
    "required.static-unknown": "{g} of the weight, which is not known",
    "provided.static-slide": "{g} of the weight, then {where} slides on what it stands on",
    "provided.static-tip": "{g} of the weight, then it tips over its {where} edge",
    "provided.static-yaw": "{g} of the weight, then {where} turns on what it stands on",
    "provided.static-lift": "{g} of the weight, then {where} lifts off",
    "provided.static-no-limit": "more than any road asks: what stops it has no limit in this plan",
    "note.static-values": "the smallest of three: {plain} with every force within its limits, "
    "{filtered} with only those tie-downs that the movement tightens, {elastic} with all sharing "
    "one movement until the first is used up",
    "note.static-by-hand-slide": "by hand, sliding straight: friction {friction} on the weight and "
    "on {down} that the legs press down, and {against} that they pull against it, are {g} of the "
    "weight; the estimate also lets it turn",
    "note.static-by-hand-tip": "by hand, tipping: the centre of gravity {behind} behind the edge "
    "and {up} up, and {moment} of the legs about the edge, are {g} of the weight",
    "note.static-full": "used up first: {names}",
    **{
        f"note.static-block-{one}": f"used up first: the block of {{names}}, {towards}"
        for one, towards in _TOWARDS.items()
    },
    **{
        f"note.static-stop-apart-{one}": f"what blocks {{name}} {towards} is {{apart}} away from "
        "it: it does not count, for it holds only what has begun to move"
        for one, towards in _TOWARDS.items()
    },
    **{
        f"note.static-over-{one}": f"it tips over the block of {{names}}, {towards}"
        for one, towards in _TOWARDS.items()
    },
    "note.static-movement": "it has then moved {movement}",
    "note.static-beside": "as closed forms reckon, with friction whole and both legs alike: {g}",
    "note.static-tensioned": "as tensioned, before the last look: {g}",
    "note.static-assumed": "assumed: rigid bodies at rest, friction divided by {divided}, a far "
    "leg with {far} of the tension unless the plan says otherwise, all stretching alike; no bumps, "
    "no impact, no roll-over",
    "note.static-stricter": "what is asked is that of 49 CFR 393.102(a)(1), here set against "
    "ratings; that law sets it against breaking strength, so this is stricter",
    "note.static-as-above": "on the same assumptions as above",
    "note.static-middle": "the centre of gravity is taken to be in the middle where it is not told",
    "note.static-route-assumed": "where it bears on the load is worked out from the boxes: {names}",
    "note.static-nothing": "{name} counts nothing: damaged gear is set aside, and a mat or bar is "
    "no tie-down",
    "note.static-no-route": "{name} counts nothing: as written it does not bear on the load",
    "note.static-pierced": "{name} counts nothing: as written it runs through an article",
    "mend.static": "hold it with another {short} that way: a block, more friction, or a tie-down "
    "that the movement tightens",
}
_BALANCE = {
    "routes": "routes in {length}: x forward from the front of the deck, y to the left of its "
    "middle, z up from it",
    "none": "no set of forces balances at this value",
    "sum-slide": "what sets the value: all slides straight on by {movement} {short}, which "
    "tightens tie-downs or slackens them",
    "sum-slide-still": "what sets the value: the sum of sliding while nothing has moved",
    "sum-tip": "what sets the value: all tips by {movement} rad over the edge at {edge}, which "
    "faces {degrees} degrees (0 forward, 90 left)",
    "sum-tip-still": "what sets the value: the sum of tipping over the edge at {edge}, which faces "
    "{degrees} degrees (0 forward, 90 left), while nothing has moved",
    "tension": "{tension} {force}",
    "tension-longer": "{retained} + {rate} {force}/{short} x {longer} {short} = {tension} {force}",
    "tension-slack": "{retained} + {rate} {force}/{short} x {longer} {short} is less than nothing: "
    "slack, {tension} {force}",
    "pull-slide": "back {back_share} x {tension} = {back}, down {down_share} x {tension} = {down}",
    "pull-tip": "arm {arm} {length} x {tension} = {moment} {force} {length}",
    "stops": "{names}: {pushed} {force}",
    "stops-up": "{names}: {pushed} {force} at {up} {length} up: {moment} {force} {length}",
    "slides": "friction {friction} x ({pressing} + {down}) = {rubs}; {rubs} + back {back} + stops "
    "{stops} = {held}; over the weight {weight}: {g}",
    "tips": "weight {pressing} x {reach} = {standing}; {standing} + tie-downs {pulled} + stops "
    "{stops} = {moment}; over {weight} x {up}: {g}",
    "square": "the edge lies aslant: over {square} it is {g}",
    "stop": "block of {name}, {direction}",
    "table": "forces on {names} pushed {direction} with {g} of its weight",
    "table-as-one": "forces on {names} as one, pushed {direction} with {g} of the weight",
    "table-units": "in {force} at points in {length}; moments about {about}",
    "force": "force",
    "sum": "sum",
    "weight": "weight of {name}",
    "push": "push on {name}",
    "leg": "{name} to {to}",
    "across": "{name} across",
    "contact": "contact with {name}",
    "contact-deck": "deck",
    "way": "{name}: {run} {length} to {to}; {newtons} {force} x {way}",
    "presses": "{name} at {at}: presses {normal}; friction {rubs} of {friction} x {normal} = "
    "{most}",
    "how": "a moment: Mx = y Fz - z Fy, My = z Fx - x Fz, Mz = x Fy - y Fx, with x, y, z counted "
    "from the point that moments are about; friction is held to a figure of {sides} sides inside "
    "its circle, which leaves up to {left} of it unused",
    "limits-at-the-limit": "against the limits, at the most for which forces balance:",
    "limits-as-summed": "against the limits, with the forces of the sum above:",
    "limits-within-the-limits": "against the limits; other parts or movements give way first, and "
    "this is one way of several in which all forces balance at that value:",
    "held-tie-down": "{name}: {newtons} {force}, its own tension",
    "held-stop": "{name}: {newtons} {force}, no limit told",
    "held-retained": "{name}: {newtons} of the {most} {force} it retains (limit {limit}): the "
    "movement does not tighten it",
    "held-limit": "{name}: {newtons} of {limit} {force}{part}",
    "held-full": "{name}: {newtons} of {limit} {force}{part}, used up",
    "beside": "{degrees} degrees off, from {direction} {towards}: only {g} of the weight",
}
_SIDES = ("to the left", "to the right", "to forward", "to rearward")
_LEFT_OF = {"forward": 0, "rearward": 1, "left": 3, "right": 2}
_RIGHT_OF = {"forward": 1, "rearward": 0, "left": 2, "right": 3}
_BALANCE |= {f"towards-{one}": towards for one, towards in _TOWARDS.items()}
_BALANCE |= {f"beside-{one}-True": _SIDES[side] for one, side in _LEFT_OF.items()}
_BALANCE |= {f"beside-{one}-False": _SIDES[side] for one, side in _RIGHT_OF.items()}
STEPS |= {f"balance.{name}": text for name, text in _BALANCE.items()}
_REFUSED = {
    "rolls": "no estimate for {names}, which can roll",
    "neither": "no estimate for {names}: neither one article, nor a stack one on the other, nor a "
    "row of boxes that touch",
    "mixed": "no estimate for {names}: chain or wire rope pulls beside webbing, which stretches "
    "unlike",
    "does-not-stand": "no estimate for {names}: the load does not stand at rest as the plan has it",
    "no-answer-within-limit": "no estimate for {names}: the sums came to no end",
    "centre-of-gravity-below-base": "no estimate: the centre of gravity of {names} is below its "
    "base",
    "base-without-area": "no estimate: the base of {names} has no area",
    "base-not-level": "no estimate for {names}: the base is not level",
    "weight-not-positive": "no estimate for {names}, which has no weight",
    "leg-without-length": "no estimate: no run from the load to the anchor point in {names}",
    "strap-without-legs": "no estimate: no run from the load to the anchor point in {names}",
    "strap-across-a-stack": "no estimate: more than one article of a stack lies under {names}",
    "strap-across-more-than-two": "no estimate: more than two articles of a row lie under {names}",
    "limit-not-positive": "no estimate: the rating of {names} is nothing",
    "anchor-over-limit-at-rest": "no estimate: at rest the pull on {names} is beyond the rating",
    "retained-over-limit": "no estimate: the tension of {names} is beyond the rating",
    "not-one-stack-or-row": "no estimate for {names}: neither a stack one on the other nor a row "
    "of boxes that touch",
    "vertical-factor-not-positive": "no estimate: the plan lets nothing of the weight press down",
}
# What a plan that could be built does not give, said all the same.
_OTHERS = (
    "not-a-number", "no-body", "doubled-id", "unknown-body", "unknown-anchor", "friction-negative",
    "strap-neither-fixed-nor-limited", "tension-negative", "rate-not-positive",
    "share-not-positive", "block-without-points", "normal-without-length", "face-without-points",
    "cone-sides-out-of-range",
)  # fmt: skip
_REFUSED |= dict.fromkeys(_OTHERS, "no estimate: the figures of {names} cannot be worked with")
STEPS |= {f"note.static-refused-{reason}": text for reason, text in _REFUSED.items()}

FIELDS = {
    "static estimate": "an estimate that covers {about}",
    "tension": "the tension of {about}",
    **{
        f"blocked.{one}": f"whether {{about}} is blocked {towards}, and by what"
        for one, towards in _TOWARDS.items()
    },
    **{
        f"blocked.{one}_rated": f"what blocks {{about}} {towards} with what force"
        for one, towards in _TOWARDS.items()
    },
    **{
        f"blocked.{one}_up": f"how high the block touches {{about}} {towards}"
        for one, towards in _TOWARDS.items()
    },
}
