"""The hand-over slip in words. English. Short: it is read in the cab, at night, in 20 seconds."""

from collections.abc import Sequence

from triplog.wording.languages import words_of

LAST_LOOK = "Last look: when, by whom, what was found"
MOVING = "Which tie-downs have gone slack or moved"
ODD = "Anything odd"
COUNTERS = "Counters since the last look, and the next limit"
YOURSELF = "Have you looked yourself?"

NOBODY_LOOKED = "nobody has looked since departure, so nobody knows"
NOTHING_ODD = "nothing odd is recorded"
NOT_PLANNED_ANEW = (
    "something broke, moved or was delivered that the plan does not show yet: plan it anew before"
    " rolling"
)
NO_LONGER_ON = "no longer on the plan"
KEEPS_SLACK = "keeps going slack: find out why"
CHECK_NOW = (
    "First of all: a check is due now. Look at every tie-down and the load before you drive."
)
LOOK_FIRST = "First of all: look at every tie-down and the load yourself before you drive."
NO_LOOK_SINCE = "no look at every tie-down since"
NO_HAND_OVER = "no hand-over is recorded: look before you drive"
BEFORE_YOU_DRIVE = "look before you drive"
FOOTER = (
    "No promise: only what was entered, up to the time above; whether a strap is slack now, only a"
    " look can tell. Local law, the gear's own label and a competent person come first. Made from a"
    " tamper-evident log: where this differs, the log holds."
)
AFTER_HAND_OVER = (
    "record each driver's duty with `triplog duty`; a change of driver comes with a change of duty"
    " status, so a look is due"
)
_TITLES_MAX = 3
_ARTICLES_MAX = 3
_WORDS_MAX = 140


def together_text(together: object) -> str:
    """Whether both drivers looked together at the hand-over, as its entry says; None: not said."""
    return {True: "yes", False: "no"}[together] if isinstance(together, bool) else "not said"


def shortened(text: str) -> str:
    """A text on one line, cut where it is long; the entry holds it whole."""
    line = " ".join(text.split())
    return line if len(line) <= _WORDS_MAX else f"{line[:_WORDS_MAX].rstrip()} …"


def none_moved_text(looks: int) -> str:
    """No tie-down was found slack or moved."""
    return f"none found slack or moved at {_times(looks)}"


def moving_text(
    *,
    slack: int,
    notches: Sequence[int],
    moved: int,
    ways: Sequence[str],
    looks: int,
    keeps: bool,
    is_off: bool,
) -> str:
    """How often one tie-down was found slack or its cargo moved, of the looks at it.

    `keeps`: it was slack at two of its last three looks. `is_off`: it is on the plan no longer.
    """
    parts = [NO_LONGER_ON] if is_off else [KEEPS_SLACK] if keeps else []
    if slack:
        tightened = " and ".join(map(str, notches))
        by = f", tightened by {tightened} notch{'' if tightened == '1' else 'es'}"
        parts.append(f"slack at {slack} of {_times(looks)}{by if notches else ''}")
    if moved:
        by = f" by {', '.join(ways)}" if ways else ""
        parts.append(f"cargo moved at {moved} of {_times(looks)}{by}")
    return "; ".join(parts)


def carries_text(articles: Sequence[str], tie_downs: int) -> str:
    """What is on the vehicle, and under how many tie-downs."""
    more = len(articles) - _ARTICLES_MAX
    listed = ", ".join(articles[:_ARTICLES_MAX]) + (f" and {more} more" if more > 0 else "")
    under = f"{tie_downs} tie-down{'' if tie_downs == 1 else 's'}"
    return f"{listed or 'nothing left to deliver'}; {under} in all"


def starts_again_text(limits: Sequence[str]) -> str:
    """What a look at every tie-down does to the counters, and what they run to then."""
    first = ", whichever comes first" if len(limits) > 1 else ""
    then = f"; the next is due within {' or '.join(limits)}{first}" if limits else ""
    return f"a look at every tie-down starts the counters again{then}"


def unmet_text(not_met: Sequence[str], not_known: Sequence[str]) -> str:
    """What a departure left not met and not known, by the ids of the rules."""
    parts = []
    for what, rules in (("not met", not_met), ("not known", not_known)):
        titles = list(dict.fromkeys(_rule_title(one) for one in rules))
        more = len(titles) - _TITLES_MAX
        listed = ", ".join(titles[:_TITLES_MAX]) + (f" and {more} more" if more > 0 else "")
        if titles:
            parts.append(f"{what}: {listed}")
    return "; ".join(parts)


def _rule_title(rule: str) -> str:
    return words_of("en").titles.get(rule, rule.replace("-", " "))


def _times(looks: int) -> str:
    return f"{looks} look{'' if looks == 1 else 's'}"
