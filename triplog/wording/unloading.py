"""The order of unloading in words. English. Common practice, no source."""

from collections.abc import Iterator

from triplog.securement.unloading import UnloadingStep

TITLE = "order of unloading"
_BEFORE = "before the first tie-down is touched: the release list, `triplog release`"


def step_name(step: UnloadingStep) -> str:
    """Stop, articles, side: "stop 1: A, from the right"."""
    side = "" if step.side is None else f", from {_from(str(step.side))}"
    return f"stop {step.number}: {', '.join(step.articles)}{side}"


def step_lines(step: UnloadingStep) -> Iterator[str]:
    """What a loader does and heeds at one stop."""
    if step.held_first:
        yield f"hold with a machine or a frame first: {', '.join(step.held_first)}"
    for tie_down, rest in step.shared:
        yield (
            f"{tie_down} also holds {', '.join(rest)}: hold {_it(rest)} another way before"
            f" {tie_down} is let off"
        )
    if step.let_off:
        yield f"let off: {', '.join(step.let_off)}"
    if step.in_the_way:
        yield f"in the way on that side: {', '.join(step.in_the_way)}"
    if step.clear is not None and step.stays:
        clear = ", ".join(map(str, step.clear)) or "no side; from above"
        yield f"nothing that stays is in the way on: {clear}"
    elif step.stays:
        yield "cannot tell what is in the way: an article has no place or no size"
    for article, direction, by in step.unbraced:
        yield f"{article} loses its brace {direction}, {by}: block or tie it before rolling"
    if step.stays:
        yield f"stays held: {', '.join(step.stays)}"
    if step.not_alone:
        yield f"of these, not known to stand alone: {', '.join(step.not_alone)}"


def left_line(unsettled: list[tuple[str, str]]) -> str:
    """What the plan without the articles of a stop leaves open: verdict and rule of each."""
    if not unsettled:
        return "judged without them, as tied now: nothing is left open"
    by_verdict: dict[str, list[str]] = {}
    for verdict, rule in unsettled:
        by_verdict.setdefault(verdict, []).append(rule)
    told = "; ".join(f"{verdict}: {', '.join(rules)}" for verdict, rules in by_verdict.items())
    return f"judged without them, as tied now: {told}"


def order_note() -> str:
    """What comes before any of it."""
    return _BEFORE


def not_on_any_stop(articles: list[str]) -> str:
    """Articles nobody has given a stop."""
    return f"no stop is given for: {', '.join(articles)}"


def _from(side: str) -> str:
    return side if side == "above" else f"the {side}"


def _it(articles: tuple[str, ...]) -> str:
    return "it" if len(articles) == 1 else "them"
