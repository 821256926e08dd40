"""What a tie-down counts. The rules are 49 CFR 393.108; figures not from a table are invented."""

import pytest

from tests.securement.plans import (
    anchor,
    article,
    chain,
    force,
    length,
    plan,
    strap,
    tie_down,
)
from triplog.securement.finding import Basis
from triplog.securement.model import Anchor, Damage, Gear, GearKind, Part, Path, Plan, TieDown
from triplog.securement.quantity import Dimension, exact_text, parse
from triplog.securement.rating import (
    AssemblyRating,
    NothingFor,
    PartName,
    Standing,
    assembly_rating,
    mat_resistance,
)


def rated(
    gear: Gear, tie: TieDown | None = None, *anchors: Anchor, us: bool = True
) -> AssemblyRating:
    tie = tie or tie_down(gear=gear.id)
    whole = plan([article()], [gear], [tie], anchors=anchors)
    return assembly_rating(tie, whole, us=us)


def test_the_weakest_of_body_tensioner_fittings_and_anchors_counts() -> None:
    gear = strap(
        wll="5400 lb",
        tensioner=Part(kind="ratchet", wll=force("5000 lb")),
        fittings=(Part(kind="flat hook", wll=force("4000 lb")), Part(kind="flat hook")),
    )
    rating = rated(gear)
    assert rating.known
    assert rating.worst == force("4000 lb")
    assert rating.governing is not None and rating.governing.part is PartName.FITTING


@pytest.mark.parametrize("marked", ["3300 lb", "1000 lb"])
def test_a_marking_stands_before_the_table_whether_higher_or_lower(marked: str) -> None:
    assert rated(strap(wll=marked)).worst == force(marked)


def test_an_unmarked_strap_counts_by_the_table() -> None:
    rating = rated(strap(wll=None))
    assert exact_text(rating.worst.value) + rating.worst.unit == "2000lb"
    assert rating.governing is not None and rating.governing.basis is Basis.DEFAULT_TABLE


def test_the_table_is_read_in_the_column_of_the_articles_unit_system() -> None:
    rating = rated(strap(wll=None), us=False)
    assert exact_text(rating.worst.value) + rating.worst.unit == "910kg"


def test_a_tag_with_a_breaking_strength_only_is_unmarked() -> None:
    assert rated(strap(wll=None, breaking=force("9900 lb"))).worst.value == 2000


def test_a_european_lashing_capacity_is_not_taken_as_a_rating() -> None:
    assert rated(strap(wll=None, lc=force("2500 daN"))).worst.value == 2000


def test_unmarked_webbing_one_inch_wide_has_no_table_value() -> None:
    rating = rated(strap(wll=None, width=length("1 in")))
    assert rating.worst.value == 0
    assert rating.best == force("20000 lb"), "only the anchors limit it"
    assert [part.asks for part in rating.unknown_parts] == ["wll"]


def test_a_straps_unrated_hook_is_covered_by_the_marking_of_the_strap() -> None:
    rating = rated(strap(fittings=(Part(kind="flat hook"),), tensioner=Part(kind="ratchet")))
    assert rating.known
    assert [part.standing for part in rating.parts].count(Standing.COVERED) == 2


def test_a_chains_unrated_binder_is_unknown() -> None:
    gear = chain(wll="6600 lb", tensioner=Part(kind="lever binder"))
    rating = rated(gear)
    assert not rating.known
    assert rating.worst.value == 0
    assert rating.best == force("6600 lb")


def test_an_anchor_is_shared_equally_before_the_weakest_part_is_taken() -> None:
    ties = [tie_down("T1", ends=("L1", "R1")), tie_down("T2", ends=("L1", "R2"))]
    whole = plan([article()], [strap()], ties, anchors=[anchor("L1", wll="5000 lb")])
    rating = assembly_rating(ties[0], whole, us=True)
    assert exact_text(rating.worst.value) + rating.worst.unit == "2500lb"
    assert rating.governing is not None and rating.governing.shared_by == 2


def test_a_strap_with_both_ends_on_one_anchor_hooks_it_twice() -> None:
    tie = tie_down(ends=("L1", "L1"), path=Path.SAME_SIDE)
    assert rated(strap(), tie, anchor("L1", wll="5000 lb")).worst.value == 2500


def test_an_unknown_anchor_is_worth_nothing_at_worst_and_the_rest_at_best() -> None:
    rating = rated(strap(), tie_down(ends=("L1", "R1")), anchor("L1", wll=None))
    assert rating.worst.value == 0
    assert rating.best == force("3300 lb")


def test_an_end_without_an_anchor_is_unknown() -> None:
    rating = rated(strap(), tie_down(ends=("L1", None)))
    assert [(part.about, part.asks) for part in rating.unknown_parts] == [("T1", "to")]


def test_gear_that_is_not_named_is_unknown() -> None:
    tie = tie_down(gear=None)
    whole = plan([article()], [], [tie])
    assert not assembly_rating(tie, whole, us=True).known


def test_the_articles_own_attachment_is_not_compared_unless_it_is_rated() -> None:
    tie = tie_down(path=Path.DIRECT, ends=("L1", "front eye"))
    unrated = Plan(
        articles=(article(),), gear=(strap(),), tie_downs=(tie,), anchors=(anchor("L1"),)
    )
    assert assembly_rating(tie, unrated, us=True).worst == force("3300 lb")
    weak = plan([article()], [strap()], [tie], anchors=[anchor("front eye", wll="1200 lb")])
    assert assembly_rating(tie, weak, us=True).worst == force("1200 lb")


def test_damaged_gear_counts_nothing() -> None:
    rating = rated(strap(damage=(Damage(kind="cut"),)))
    assert rating.worst.value == 0
    assert rating.nothing_for is NothingFor.DAMAGED
    assert rating.known


def test_a_friction_mat_is_no_tie_down() -> None:
    rating = rated(strap(kind=GearKind.FRICTION_MAT))
    assert rating.nothing_for is NothingFor.NO_TIE_DOWN


@pytest.mark.parametrize("lines", [None, 1, 2])
def test_tracer_lines_never_change_a_rating(lines: int | None) -> None:
    """Common practice, no source: a tracer line is a hint at a grade, never a rating by itself."""
    assert rated(strap(wll=None, tracer_lines=lines)).worst.value == 2000
    assert rated(strap(wll="3335 lb", tracer_lines=lines)).worst == force("3335 lb")


def test_chain_of_unknown_grade_counts_as_grade_30() -> None:
    """49 CFR 393.108(d) and the chain table: 3/8 in grade 30, 2,650 lb."""
    assert rated(chain(size=length("3/8 in"))).worst.value == 2650


def test_a_marked_friction_mat_resists_what_is_marked() -> None:
    mat = Gear(id="M-1", kind=GearKind.FRICTION_MAT, wll=force("900 lb"))
    assert mat_resistance(parse("10000 lb", Dimension.MASS), mat) == force("900 lb")
    assert mat_resistance(None, Gear(id="M-2", kind=GearKind.FRICTION_MAT)) is None
