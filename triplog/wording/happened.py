"""What is said when something happened on the road. English.

The cautions follow GOV.UK, Securing loads on HGVs and goods vehicles, section 3 (a load that has
moved), and common practice.
"""

BROKEN = "broken strap"
MOVED = "load moved"
HAPPENED = (
    "hard braking",
    "kerb",
    "rough road",
    "wind",
    "rain on new webbing",
    "load touched",
    "roadside inspection",
    BROKEN,
    MOVED,
)
"""In the order of their numbers at a terminal; other words may be typed."""

STOP_NOW = (
    "the load has moved: stop at the nearest safe place now, not at the next planned stop; brake"
    " and steer gently"
)
LOAD_MOVED = (
    "stand back and look first: touch nothing that leans, and do not walk under it",
    "do not climb on the load; keep people and traffic away from where it could fall",
    "let no tie-down off until the load is held by a machine or a frame",
    "do not drive on until it is held again, planned anew and judged; ask for help where you stand",
)
STRAP_BROKEN = (
    "add the new one first, then take the broken one off: `triplog replace T2 --with GEAR`",
    "find out why it broke before you roll: the same plan with another strap is the plan that"
    " broke it",
)
SECOND_LOOK_ASKED = (
    "a second person's look is asked for; when they have looked: `triplog second-look --by LABEL`"
)
CAUSE_NOT_FOUND = (
    "why it had to be replaced is not known: the plan still asks for more than another strap in its"
    " place. Find out why, or plan one more tie-down, or have a second person look"
)
EXEMPTION_ENDED = (
    "the exemption was for the load as it stood: checks are due again from here; where there is a"
    " new seal with its order, or the load still cannot be inspected: `triplog exempt`"
)
LEFT_OPEN = (
    "what is left after the delivery is not met or not known in part, and nobody has planned it"
    " anew: `triplog judge --unsettled` shows what, before rolling"
)
