"""Metal coils as a plan tells them: rows, eyes, anchor points, the tie-downs on them by kind."""

from collections.abc import Callable

from triplog.securement.finding import Missing
from triplog.securement.model import Article, Body, Lay, Path, Plan, TieDown
from triplog.securement.rules.blocking import blocked_forward
from triplog.securement.rules.us_393.sections.facts import (
    count_fact,
    missing_facts,
    word_fact,
    yes_fact,
)
from triplog.securement.rules.us_393.sections.kinds import Kind, exactly

Coils = tuple[Article, ...]
_MAY_LACK_ANCHOR_POINTS = frozenset({Body.SIDED, Body.CHASSIS, None})
_EYE = ("lay", "through_eye")


def rows_of(articles: Coils) -> tuple[Coils, ...]:
    """The coils by the label they go `together` under; one without a label stands alone."""
    rows: dict[tuple[str, str], list[Article]] = {}
    for article in articles:
        key = ("alone", article.id) if article.together is None else ("row", article.together)
        rows.setdefault(key, []).append(article)
    return tuple(tuple(row) for row in rows.values())


def eye_of(coils: Coils) -> str | None:
    """The way the eyes face; None where one is not told, or they differ."""
    eyes = {word_fact(one, "eye") for one in coils}
    return eyes.pop() if len(eyes) == 1 else None


def number_of(coils: Coils) -> int:
    """An article is one coil unless it says how many pieces it has."""
    return sum(count_fact(one, "pieces") or 1 for one in coils)


def holding(coils: Coils, plan: Plan) -> tuple[TieDown, ...]:
    """The tie-downs on any of the coils."""
    ids = {one.id for one in coils}
    return tuple(one for one in plan.tie_downs if ids.intersection(one.holds))


def anchored(coils: Coils, plan: Plan) -> bool | None:
    """Whether there are anchor points; without, paragraph (e) holds. A tie-down shows some."""
    if plan.vehicle.body not in _MAY_LACK_ANCHOR_POINTS:
        return True
    told = [yes_fact(one, "anchor_points") for one in coils]
    if False in told:
        return False
    return True if True in told or holding(coils, plan) else None


def open_eye(coils: Coils) -> tuple[Missing, ...]:
    """The eyes nobody has told; all of them where they differ."""
    missing = tuple(one for coil in coils for one in missing_facts(coil, "eye"))
    if not missing and eye_of(coils) is None:
        return tuple(Missing(field="facts.eye", about=one.id) for one in coils)
    return missing


def open_anchor_points(coils: Coils, plan: Plan) -> tuple[Missing, ...]:
    """What would tell whether there are anchor points; nothing where that is known."""
    if anchored(coils, plan) is not None:
        return ()
    body = () if plan.vehicle.body is not None else (Missing(field="body", about="vehicle"),)
    return (*body, *(one for coil in coils for one in missing_facts(coil, "anchor_points")))


def held_forward(coils: Coils, plan: Plan) -> bool:
    """Whether blocking or a friction mat in the plan holds every coil forward."""
    return all(one.mat is not None or blocked_forward(one, plan) for one in coils)


def over_rows(coils: Coils, each: int, step: str) -> Kind:
    """So many over each coil or transverse row; not told, the rows may be as few as one."""
    rows = next((one for coil in coils if (one := count_fact(coil, "rows")) is not None), None)
    low, high = (1, number_of(coils)) if rows is None else (rows, rows)
    return Kind(step=step, low=low * each, high=high * each, fits=_crosswise, asks=("lay", "path"))


def over_the_eye() -> Kind:
    """One crosswise over an eye that faces up."""
    return exactly(1, "required.coil-over-eye", _crosswise, ("lay", "path"))


def at_both_ends() -> Kind:
    """One against the front and one against the rear of a row."""
    return exactly(2, "required.coil-ends", _at_an_end, ("lay", "path"))


def diagonals() -> Kind:
    """Two diagonally over an eye that faces up."""
    return exactly(2, "required.coil-diagonal", _diagonal, ("lay",))


def through_eye(number: int) -> Kind:
    """So many through an eye."""
    return exactly(number, "required.coil-through-eye", _through, ("through_eye",))


def over(number: int, step: str) -> Kind:
    """So many crosswise over the top, not through the eye."""
    return exactly(number, step, _of("crosswise", through=False), (*_EYE, "path"))


def straight_through() -> Kind:
    """Two lengthwise through an eye that faces along the vehicle."""
    return exactly(2, "required.coil-straight", _of("lengthwise", through=True), _EYE)


def diagonal_through() -> Kind:
    """Two diagonally through an eye that faces along the vehicle."""
    return exactly(2, "required.coil-diagonal-eye", diagonally_through, _EYE)


def _diagonal(tie_down: TieDown) -> bool | None:
    return None if tie_down.lay is None else tie_down.lay == "diagonal"


def _crosswise(tie_down: TieDown) -> bool | None:
    """Crosswise over the top, not to the article itself or round a face."""
    if tie_down.lay not in ("crosswise", None) or tie_down.path in (Path.DIRECT, Path.SPRING):
        return False
    return None if tie_down.lay is None or tie_down.path is None else True


def _at_an_end(tie_down: TieDown) -> bool | None:
    """Round a face, or not crosswise over the top."""
    if tie_down.path is Path.SPRING or tie_down.lay in ("lengthwise", "diagonal"):
        return True
    return None if tie_down.lay is None or tie_down.path is None else False


def _through(tie_down: TieDown) -> bool | None:
    return tie_down.through_eye


def _of(lay: Lay, *, through: bool) -> Callable[[TieDown], bool | None]:
    def fits(tie_down: TieDown) -> bool | None:
        told = [
            None if tie_down.lay is None else tie_down.lay == lay,
            None if tie_down.through_eye is None else tie_down.through_eye is through,
            through or tie_down.path is not Path.DIRECT,
        ]
        return False if False in told else (None if None in told else True)

    return fits


diagonally_through = _of("diagonal", through=True)
