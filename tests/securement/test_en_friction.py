"""Which friction counts under EN 12195-1, and that the pair and its standing are recorded."""

from decimal import Decimal
from typing import Any

import pytest

from tests.securement.en_plans import crate, dan, en_plan, judged, steps_of
from triplog.securement.finding import Basis, Finding, Input, Verdict
from triplog.securement.model import Gear, GearKind

WEIGHT_DAN = 9810


def slid(mat: Gear | None = None, **told: Any) -> Finding:
    gear = [] if mat is None else [mat]
    article = crate(**{"friction": None, "mat": None if mat is None else mat.id, **told})
    return judged(en_plan(article, gear=gear), "slide", "forward")


def told_of(finding: Finding) -> Input:
    (friction,) = [one for one in finding.inputs if one.name == "friction"]
    return friction


def counts(finding: Finding, mu: float) -> None:
    assert dan(finding.provided) == pytest.approx(mu * WEIGHT_DAN)


def test_a_stated_number_is_used_as_stated_wet_or_not() -> None:
    finding = slid(friction=Decimal("0.55"), surfaces=("ice", "steel"), wet=True)
    counts(finding, 0.55)
    assert (told_of(finding).value, told_of(finding).basis) == ("0.55", Basis.STATED)


@pytest.mark.parametrize("pair", [("wooden pallet", "plywood"), ("Plywood", "sawn timber")])
def test_a_pair_is_found_in_either_order_and_recorded(pair: tuple[str, str]) -> None:
    finding = slid(surfaces=pair, wet=False)
    counts(finding, 0.45)
    told = told_of(finding)
    assert told.value == f"0.45 ({pair[0].lower()} on {pair[1].lower()}, dry)"
    assert told.basis is Basis.DEFAULT_TABLE
    assert told.citation is not None
    assert (told.citation.source, told.citation.how_sure) == ("CTU Code", "read")


def test_a_remembered_row_says_so() -> None:
    told = told_of(slid(surfaces=("concrete smooth", "sawn wood"), wet=False))
    assert told.citation is not None and told.citation.how_sure == "memory"


def test_anti_slip_rubber_goes_with_any_surface() -> None:
    counts(slid(surfaces=("anti-slip rubber", "grooved aluminium"), wet=True), 0.6)


@pytest.mark.parametrize(
    "surfaces",
    [("wooden pallet", "icy plywood"), ("wooden pallet, frost", "plywood"),
     ("wooden pallet", "plywood with grease"), ("wooden pallet", "plywood not swept clean")],
)  # fmt: skip
def test_frost_ice_and_grease_cap_the_table_at_two_tenths(surfaces: tuple[str, str]) -> None:
    finding = slid(surfaces=surfaces, wet=False)
    counts(finding, 0.2)
    assert "note.en-friction-capped" in steps_of(finding)
    told = told_of(finding)
    assert told.citation is not None and told.citation.how_sure == "memory"


def test_the_cap_never_raises_a_lower_value() -> None:
    counts(slid(surfaces=("plastic pallet, ice", "stainless steel sheet")), 0.15)


def test_a_wet_pair_without_a_wet_value_counts_two_tenths_at_most() -> None:
    counts(slid(surfaces=("big bag", "wooden pallet"), wet=True), 0.2)
    counts(slid(surfaces=("smooth metal", "smooth metal"), wet=True), 0.2)
    counts(slid(surfaces=("big bag", "wooden pallet"), wet=False), 0.4)


def test_wet_or_dry_and_nobody_said_is_judged_at_both_ends() -> None:
    counts(slid(surfaces=("wooden pallet", "plywood")), 0.45)
    finding = slid(surfaces=("big bag", "wooden pallet"))
    assert finding.verdict is Verdict.DOES_NOT_MEET
    counts(finding, 0.4)
    cardboard = crate(friction=None, surfaces=("cardboard", "cardboard untreated"))
    sideways = judged(en_plan(cardboard), "slide", "left")
    assert sideways.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in sideways.unknown] == ["wet"]


def test_a_pair_the_table_does_not_hold_is_not_known() -> None:
    finding = slid(surfaces=("straw", "ice"))
    assert finding.verdict is Verdict.DOES_NOT_MEET
    counts(finding, 0.2)
    clean = slid(surfaces=("straw", "plywood"))
    assert clean.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in clean.unknown] == ["surfaces"]


def test_a_mat_counts_with_what_is_marked_on_it() -> None:
    mat = Gear(id="M", kind=GearKind.FRICTION_MAT, friction=Decimal("0.6"), damage=())
    finding = slid(mat, surfaces=("plastic pallet", "plywood"))
    counts(finding, 0.6)
    assert told_of(finding).basis is Basis.MARKED


def test_a_mat_without_a_mark_leaves_it_open() -> None:
    finding = slid(Gear(id="M", kind=GearKind.FRICTION_MAT, damage=()))
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("friction", "M")]


def test_nothing_known_of_the_friction_leaves_it_open() -> None:
    finding = slid()
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [(one.field, one.about) for one in finding.unknown] == [("friction", "A")]
