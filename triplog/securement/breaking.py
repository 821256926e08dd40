"""The breaking strength of a tie-down: its weakest part's, the anchor points among them.

Only what is marked counts: no multiple of a rating, and no table. A part that every tie-down of its
kind has (end fittings, what tightens it) is unknown where the plan does not list it.
"""

from collections.abc import Iterator

from triplog.securement.ends import NOTHING, Ends
from triplog.securement.finding import Missing
from triplog.securement.model import Gear, GearKind, Path, Plan, TieDown
from triplog.securement.quantity import Quantity
from triplog.securement.rating import ends_on_anchors

# A winch belongs to the vehicle: its breaking strength is the anchor point's.
_TIGHTENED_BY_NOTHING_OF_ITS_OWN = frozenset({GearKind.STEEL_STRAPPING, GearKind.WINCH_STRAP})


def breaking_n(tie_down: TieDown, plan: Plan) -> tuple[Ends, tuple[Missing, ...]]:
    """The breaking strength in newtons at both ends, and what is not known of it.

    At worst nothing where any part is unknown; at best the weakest part that is known.
    """
    parts = [*_gear_parts(tie_down, plan), *_anchor_parts(tie_down, plan)]
    known = [marked.si / shared_by for marked, shared_by, _ in parts if marked is not None]
    missing = tuple(dict.fromkeys(asks for marked, _, asks in parts if marked is None))
    high = min(known, default=None)
    return Ends(low=NOTHING if missing or high is None else high, high=high), missing


def _gear_parts(tie_down: TieDown, plan: Plan) -> Iterator[tuple[Quantity | None, int, Missing]]:
    gear = plan.gear_item(tie_down.gear)
    if gear is None:
        yield None, 1, Missing(field="gear", about=tie_down.id)
        return
    yield gear.breaking, 1, Missing(field="breaking", about=gear.id)
    yield from ((one, 1, _of(gear, "fittings")) for one in _fittings(gear))
    if gear.tensioner is not None:
        if (gear.tensioner.kind or "").strip().lower() not in ("none", "nothing", "no"):
            yield gear.tensioner.breaking, 1, _of(gear, "tensioner")
    elif gear.kind not in _TIGHTENED_BY_NOTHING_OF_ITS_OWN:
        yield None, 1, _of(gear, "tensioner")


def _fittings(gear: Gear) -> tuple[Quantity | None, ...]:
    """Those of both ends; a list left out is one unknown, an empty one says there is none."""
    if gear.fittings is None:
        return () if gear.kind is GearKind.STEEL_STRAPPING else (None,)
    return tuple(part.breaking for part in gear.fittings)


def _of(gear: Gear, part: str) -> Missing:
    return Missing(field=f"{part}.breaking", about=gear.id)


def _anchor_parts(tie_down: TieDown, plan: Plan) -> Iterator[tuple[Quantity | None, int, Missing]]:
    """The anchor points, and the attachment on the article where the plan lists it."""
    for asks, anchor_id in zip(("from", "to"), ends_on_anchors(tie_down), strict=False):
        anchor = plan.anchor(anchor_id)
        if anchor is None:
            yield None, 1, Missing(field=asks, about=tie_down.id)
        else:
            yield anchor.breaking, plan.hooks[anchor.id], Missing(field="breaking", about=anchor.id)
    if tie_down.path is Path.DIRECT:
        # As with ratings, an attachment that the plan does not list is not compared.
        attachment = plan.anchor(tie_down.to)
        if attachment is not None:
            shared_by = plan.hooks[attachment.id]
            yield attachment.breaking, shared_by, Missing(field="breaking", about=attachment.id)
