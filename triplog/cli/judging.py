"""`triplog judge` and `triplog schema`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, cast

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import (
    AsJson,
    OfTrip,
    face,
    leave,
    line_width,
    read_bytes,
    recorded,
    show,
    show_json,
)
from triplog.cli.lines import terminal_width
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.desk import Desk
    from triplog.desk.judging import Judgement
    from triplog.journal.trip import Trip
    from triplog.securement.finding import Finding
    from triplog.securement.rules.static.in_order import Judged
    from triplog.wording.amounts import Units


def judge(
    context: typer.Context,
    file: Annotated[
        Path | None, typer.Option("--file", help="A plan file; no trip and no store is needed.")
    ] = None,
    only_unsettled: Annotated[
        bool, typer.Option("--unsettled", help="Only what does not meet or cannot be told.")
    ] = False,
    full: Annotated[bool, typer.Option("--full", help="Every finding with its sum.")] = False,
    explain: Annotated[
        str | None,
        typer.Option(
            "--explain",
            metavar="RULE",
            help="One rule as on paper: clause, edition, what goes in and on what basis, the sum.",
        ),
    ] = None,
    trip: OfTrip = None,
    as_json: AsJson = False,
) -> None:
    """Judge a plan: each rule with its verdict, its sum and what would mend it."""
    from triplog.desk.judging import judge_and_record, judge_file, judge_trip

    entry, units = None, None
    if file is not None:
        judgement = judge_file(plan_bytes(file, trip), file.name)
    else:
        from triplog.desk.setting_up import units_of

        desk, found = open_trip(context, trip)
        if explain is None:
            judgement, entry = judge_and_record(desk, found)
        else:
            judgement = judge_trip(found)
        units = units_of(desk)
    if explain is not None and as_json:
        show_json(_explained_document(judgement, explain))
    elif explain is not None:
        show(_explained(judgement, explain))
    elif as_json:
        show_json(judgement.document)
    elif terminal_width() is None or only_unsettled or full:
        show(_lines(judgement, units, only_unsettled=only_unsettled, full=full))
    else:
        show(_on_one_screen(judgement, units))
    if entry is not None and not as_json:
        show([recorded(entry, f"trip {found.label} judged")])
        show(_next_line(found))
    leave(FOUND if judgement.unsettled else DONE)


def plan_bytes(file: Path, trip: str | None) -> bytes:
    """The bytes of a plan file; a trip cannot be named beside it."""
    if trip is not None:
        raise Refused("give either a plan file or a trip, not both")
    return read_bytes(file)


def open_trip(context: typer.Context, trip: str | None) -> "tuple[Desk, Trip]":
    """The desk, and the open trip that is named or is the only one."""
    from triplog.desk.finding_things import the_trip
    from triplog.journal.trip import OPEN_STATES

    desk = face(context).desk()
    return desk, the_trip(desk, trip, OPEN_STATES)


def _lines(
    judgement: "Judgement", units: "Units | None", *, only_unsettled: bool, full: bool
) -> list[str]:
    """The findings: with their sums where that matters, one line each for the rest."""
    from triplog.wording.handbook import findings_lines, one_line_each

    unsettled, findings = judgement.unsettled, judgement.findings
    with_sum = [one for one in findings if full or one in unsettled or one.rule in _ALWAYS_SUMMED]
    if only_unsettled:
        with_sum = list(unsettled)
    rest = [] if only_unsettled else [one for one in findings if one not in with_sum]
    lines = findings_lines(with_sum, line_width(), units=units, apart=full)
    if rest:
        lines += ["", "the rest, without their sums (--full prints them):"]
        lines += one_line_each(rest, units=units)
    return [*lines, "", summary(findings)]


def _on_one_screen(judgement: "Judgement", units: "Units | None") -> list[str]:
    from triplog.wording.in_short import open_lines, settled_lines

    width, findings = line_width(), judgement.findings
    return [
        *open_lines(judgement.unsettled, width, units),
        *settled_lines(findings, width, units),
        "",
        summary(findings),
        "each with its sum: triplog judge --full; what is open: triplog judge --unsettled",
    ]


def open_findings(unsettled: "tuple[Finding, ...]", units: "Units | None") -> list[str]:
    """What does not meet or cannot be told: in short on a terminal, with every sum elsewhere."""
    if terminal_width() is None:
        from triplog.wording.handbook import findings_lines

        return findings_lines(unsettled, line_width(), units=units)
    from triplog.wording.in_short import open_lines

    lines = open_lines(unsettled, line_width(), units)
    return [*lines, "with their sums: triplog judge --unsettled"] if lines else []


def _next_line(trip: "Trip") -> list[str]:
    from triplog.cli import asking
    from triplog.journal.trip import TripState

    steps = {
        TripState.PLANNED: "triplog loaded, once it is on and tied as planned",
        TripState.LOADED: "triplog depart",
    }
    return asking.next_line(steps[trip.state]) if trip.state in steps else []


def _explained(judgement: "Judgement", rule: str) -> list[str]:
    """The findings of a rule, or of all rules that begin so, each in full."""
    from triplog.wording.explained import explained_lines

    lines: list[str] = []
    for one, behind in _asked_of(judgement, rule):
        lines += [*([""] if lines else []), *explained_lines(one)]
        if behind is not None:
            from triplog.wording.balance import balance_lines

            lines += balance_lines(behind)
    return lines


def _explained_document(judgement: "Judgement", rule: str) -> dict[str, Any]:
    """The same as plain values, forces in newtons and places in metres."""
    found = []
    for one, behind in _asked_of(judgement, rule):
        if behind is not None:
            from triplog.wording.balance import account_document

            found.append({**one, "account": account_document(behind)})
        else:
            found.append(one)
    return {"findings": found}


def _asked_of(judgement: "Judgement", rule: str) -> "list[tuple[dict[str, Any], Judged | None]]":
    """The findings of a rule, or of all that begin so, each with what was estimated for it."""
    findings = cast(list[dict[str, Any]], judgement.document["findings"])
    estimated = {
        (f"static-{one.direction}", *one.estimate.load.ids): one for one in judgement.estimated
    }
    found = [
        (one, estimated.get((one["rule"], *one["about"])))
        for one in findings
        if one["rule"].startswith(rule)
    ]
    if not found:
        rules = dict.fromkeys(one.rule for one in judgement.findings)
        raise Refused(f"no finding of this plan is called {rule!r}; there are: {', '.join(rules)}")
    return found


_ALWAYS_SUMMED = (
    "us-393.106-aggregate",
    "us-393.110-count",
    "ca-nsc10-aggregate",
    "ca-nsc10-count",
    "house-combined",
)


def summary(findings: "tuple[Finding, ...]") -> str:
    """How many findings came out how; never one word for all of them."""
    from triplog.securement.finding import Verdict

    counts = [
        f"{sum(1 for one in findings if one.verdict is verdict)} {_COUNTED[verdict.value]}"
        for verdict in Verdict
    ]
    return "findings: " + ", ".join(counts)


_COUNTED = {
    "does not meet": "do not meet",
    "cannot tell": "cannot be told",
    "meets": "meet",
    "does not apply": "do not apply",
}


def schema(
    what: Annotated[str, typer.Argument(help="plan or findings.")],
) -> None:
    """Print the JSON Schema of a plan file or a findings file."""
    from triplog.securement.schemas import schema_findings, schema_plan

    schemas = {"plan": schema_plan, "findings": schema_findings}
    if what not in schemas:
        raise Refused(f"there are schemas of plan and findings, none of {what!r}")
    show_json(schemas[what]())


COMMANDS = {"judge": judge, "schema": schema}
