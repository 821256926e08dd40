"""Bends over sharp edges, by the route, against the protectors fitted."""

from dataclasses import replace

import pytest

from tests.securement.fit_plans import asked, at, crate, hooked, judged, of, over
from tests.securement.plans import chain
from triplog.securement.finding import Finding, Verdict
from triplog.securement.model import Article, EdgeProtection, Gear, Path, TieDown

SHARP = crate(sharp_edges=True)


def found(tie: TieDown, article: Article = SHARP, gear: Gear | None = None) -> list[Finding]:
    return of(judged([article], [gear or hooked()], [tie]), "fit-edges")


def fitted(number: int | None) -> TieDown:
    return over(edge_protection=EdgeProtection(needed=0, fitted=number))


@pytest.mark.parametrize(
    ("number", "verdict"),
    [
        (2, Verdict.MEETS),
        (3, Verdict.MEETS),
        (1, Verdict.DOES_NOT_MEET),
        (0, Verdict.DOES_NOT_MEET),
        (None, Verdict.CANNOT_TELL),
    ],
)
def test_each_bend_over_a_sharp_edge_wants_a_protector(
    number: int | None, verdict: Verdict
) -> None:
    """The plan says that none is needed; the route bends twice."""
    (finding,) = found(fitted(number))
    assert finding.verdict is verdict


@pytest.mark.parametrize(("number", "verdict"), [(2, Verdict.MEETS), (1, Verdict.CANNOT_TELL)])
def test_without_a_route_the_most_bends_decide(number: int, verdict: Verdict) -> None:
    (finding,) = found(fitted(number), replace(SHARP, at=None))
    assert finding.verdict is verdict
    assert asked(finding) == ({("T1", "route")} if verdict is Verdict.CANNOT_TELL else set())


def test_blunt_edges_and_chain_are_not_asked() -> None:
    assert found(fitted(0), crate()) == []
    assert found(fitted(0), gear=chain("S-1")) == []


def test_gear_that_is_not_known_is_taken_as_what_edges_cut() -> None:
    (finding,) = found(replace(fitted(1), gear=None))
    assert finding.verdict is Verdict.DOES_NOT_MEET


def test_touches_in_a_straight_line_are_no_bends() -> None:
    """A direct strap bends nowhere; one led round a corner bends there."""
    end = at("4", "0", "1.5")
    straight = replace(fitted(0), path=Path.DIRECT, touches=(end,))
    assert found(straight) == []
    (finding,) = found(replace(straight, touches=(at("4", "1", "1.5"), end)))
    assert finding.verdict is Verdict.DOES_NOT_MEET
