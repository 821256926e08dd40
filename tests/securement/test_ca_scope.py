"""Where NSC Standard 10 is law: over 4,500 kg registered, from 4,500 kg on in Quebec, over 5,000 kg
in Saskatchewan (the province's regulation of 2013, the ministry's page, the standard s.2)."""

import pytest

from tests.securement.plans import found, mass, strapped
from triplog.securement.assess import assess
from triplog.securement.finding import Finding, Scope, Verdict
from triplog.securement.model import Plan, Vehicle
from triplog.wording.findings import sum_lines, unknown_line


def on(gross: str | None, registered_in: str | None) -> Plan:
    whole = strapped("2000 kg", ["1000 kg"] * 3, long="4 m")
    vehicle = Vehicle(
        gross_mass=None if gross is None else mass(gross),
        registered_in=registered_in,
        front_structure="none",
    )
    return Plan(
        rules=("ca-nsc10",),
        vehicle=vehicle,
        anchors=whole.anchors,
        gear=whole.gear,
        articles=whole.articles,
        tie_downs=whole.tie_downs,
    )


def scope_finding(gross: str | None, registered_in: str | None) -> Finding:
    return found(assess(on(gross, registered_in)), "ca-nsc10-scope")


@pytest.mark.parametrize(
    ("gross", "place", "law"),
    [
        ("4501 kg", "CA-ON", True),
        ("4500 kg", "CA-ON", False),
        ("4500 kg", "CA-QC", True),
        ("4499 kg", "CA-QC", False),
        ("5000 kg", "CA-SK", False),
        ("5001 kg", "CA-SK", True),
        ("5001 kg", None, True),
        ("4499 kg", None, False),
        ("5001 kg", "US", True),
        ("9000 kg", "ca-sk", True),
    ],
)
def test_the_registered_mass_and_the_province_decide_whether_it_is_law(
    gross: str, place: str | None, law: bool
) -> None:
    findings = assess(on(gross, place))
    aggregate = found(findings, "ca-nsc10-aggregate")
    assert aggregate.scope is (Scope.LAW if law else Scope.YARDSTICK)
    said = [one.verdict for one in findings if one.rule == "ca-nsc10-scope"]
    assert said == ([] if law else [Verdict.DOES_NOT_APPLY])


@pytest.mark.parametrize(
    ("gross", "place", "asks"),
    [
        ("4700 kg", None, ["registered_in"]),
        ("4500 kg", "US", ["registered_in"]),
        (None, "CA-SK", ["gross_mass"]),
        (None, None, ["gross_mass", "registered_in"]),
    ],
)
def test_what_is_not_known_is_asked_only_where_it_decides(
    gross: str | None, place: str | None, asks: list[str]
) -> None:
    finding = scope_finding(gross, place)
    assert finding.verdict is Verdict.CANNOT_TELL
    assert [one.field for one in finding.unknown] == asks
    assert "registered" in unknown_line(finding) or "gross mass" in unknown_line(finding)


def test_every_line_that_may_hold_is_said() -> None:
    assert sum_lines(scope_finding("4700 kg", None)) == [
        "law in CA over 4,500 kg registered",
        "law in CA-QC from 4,500 kg on, as rated",
        "law in CA-SK over 5,000 kg registered",
    ]
