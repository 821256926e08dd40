"""Chain beside webbing, chain on heavy machines, articles that do not stand alone."""

import pytest

from tests.securement.fit_plans import asked, crate, hooked, judged, of, over
from tests.securement.plans import chain, length
from triplog.securement.finding import Scope, Verdict
from triplog.securement.model import Commodity, Gear, GearKind

BOTH = [over("T1", "S-1"), over("T2", "S-2")]


def second(gear: Gear) -> list[Gear]:
    return [hooked(), gear]


@pytest.mark.parametrize("kind", [GearKind.CHAIN, GearKind.WIRE_ROPE])
def test_a_stiff_tie_down_beside_webbing_does_not_meet(kind: GearKind) -> None:
    """Makers' strap instructions, second-hand: not on the same load, they stretch differently."""
    (finding,) = of(judged(gear=second(hooked("S-2", kind=kind))), "fit-mixing")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.scope is Scope.GUIDANCE
    assert finding.citation.how_sure == "second-hand"
    assert finding.steps[0].values["tie_downs"] == "T2"


@pytest.mark.parametrize("kind", [GearKind.WINCH_STRAP, GearKind.CORDAGE])
def test_webbing_of_different_kinds_meets(kind: GearKind) -> None:
    (finding,) = of(judged(gear=second(hooked("S-2", kind=kind))), "fit-mixing")
    assert finding.verdict is Verdict.MEETS


def test_chain_on_one_article_and_webbing_on_another_meet() -> None:
    ties = [over("T1", "S-1"), over("T2", "S-2", holds=("B",))]
    (finding,) = of(judged([crate(), crate("B")], second(chain("S-2")), ties), "fit-mixing")
    assert finding.verdict is Verdict.MEETS
    assert finding.about == ("A", "B")


def test_articles_that_go_together_are_one_for_it() -> None:
    ties = [over("T1", "S-1"), over("T2", "S-2", holds=("B",))]
    articles = [crate(together="load"), crate("B", together="load")]
    (finding,) = of(judged(articles, second(chain("S-2")), ties), "fit-mixing")
    assert finding.verdict is Verdict.DOES_NOT_MEET
    assert finding.about == ("A", "B")


def test_gear_that_is_not_named_could_be_either() -> None:
    (finding,) = of(judged(ties=[over(), over("T2", None)]), "fit-mixing")
    assert finding.verdict is Verdict.CANNOT_TELL
    assert asked(finding) == {("T2", "gear")}


@pytest.mark.parametrize(
    ("weighs", "verdict"),
    [("10000 lb", Verdict.DOES_NOT_MEET), ("4536 kg", Verdict.DOES_NOT_MEET),
     ("9999 lb", None), ("4535 kg", None), (None, Verdict.CANNOT_TELL)],
)  # fmt: skip
def test_a_heavy_machine_on_webbing_is_named(weighs: str | None, verdict: Verdict | None) -> None:
    """Common practice, no source; the line is that of 49 CFR 393.130, which bars no webbing."""
    machine = crate(commodity=Commodity.MACHINE, weighs=weighs)
    findings = of(judged([machine]), "fit-chain")
    assert [one.verdict for one in findings] == ([] if verdict is None else [verdict])


def test_a_heavy_machine_on_chain_meets_and_a_heavy_crate_is_not_asked() -> None:
    machine = crate(commodity=Commodity.MACHINE, weighs="20000 lb")
    chains = [chain("S-1", length=length("8 m")), chain("S-2", length=length("8 m"))]
    (finding,) = of(judged([machine], chains), "fit-chain")
    assert finding.verdict is Verdict.MEETS
    assert of(judged([crate(weighs="20000 lb")]), "fit-chain") == []


@pytest.mark.parametrize(
    ("stands", "verdict"),
    [(True, Verdict.MEETS), (False, Verdict.DOES_NOT_MEET), (None, Verdict.CANNOT_TELL)],
)
def test_an_article_that_does_not_stand_alone_is_named_before_release(
    stands: bool | None, verdict: Verdict
) -> None:
    (finding,) = of(judged([crate(stands_unaided=stands)]), "fit-stands")
    assert finding.verdict is verdict
    assert asked(finding) == ({("A", "stands_unaided")} if stands is None else set())
