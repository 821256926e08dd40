"""`triplog vary`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, OfTrip, leave, line_width, show, show_json
from triplog.cli.judging import open_trip, plan_bytes, summary

if TYPE_CHECKING:
    from triplog.desk.varying import Tried, Varied
    from triplog.wording.amounts import Units

_LEAST_DEG = 5.0
_MOST_DEG = 90.0


def vary(
    context: typer.Context,
    file: Annotated[
        Path | None, typer.Option("--file", help="A plan file; no trip and no store is needed.")
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only", help="wet, mat, one-more, slack, gone or angle; may be repeated. Else all."
        ),
    ] = None,
    angle: Annotated[
        float,
        typer.Option(
            "--angle",
            min=_LEAST_DEG,
            max=_MOST_DEG,
            help="Degrees to the deck that tie-downs over the top would have.",
        ),
    ] = 60.0,
    rules: Annotated[
        list[str] | None,
        typer.Option("--rules", help="A rule set to judge by; may be repeated. Else the plan's."),
    ] = None,
    trip: OfTrip = None,
    as_json: AsJson = False,
) -> None:
    """Say what changes in the findings if one small thing were different. Records nothing."""
    from triplog.desk.varying import Wanted, vary_file, vary_trip

    units = None
    wanted = Wanted(only=tuple(only or ()), angle_deg=angle, rules=tuple(rules or ()))
    if file is not None:
        varied = vary_file(plan_bytes(file, trip), file.name, wanted)
    else:
        from triplog.desk.setting_up import units_of

        desk, found = open_trip(context, trip)
        varied, units = vary_trip(found, wanted), units_of(desk)
    if as_json:
        show_json(_record(varied))
    else:
        show(_lines(varied, angle, units))
    leave(FOUND if varied.unsettled else DONE)


def _lines(varied: "Varied", angle_deg: float, units: "Units | None") -> list[str]:
    from triplog.wording.varied import changes_lines, does_not_apply, varied_head, varied_notes

    lines = [f"the plan as it is: {summary(varied.findings)}"]
    for same in _gathered(varied):
        variations = [one.variation for one in same]
        lines += [
            "",
            varied_head(variations, varied.plan, angle_deg),
            *(f"  {line}" for line in varied_notes(variations[0])),
            *changes_lines(same[0].changes, line_width(), units=units),
        ]
    if varied.not_applying:
        lines += ["", "not tried:"]
        lines += [f"  {does_not_apply(name, angle_deg)}" for name in varied.not_applying]
    return lines


def _gathered(varied: "Varied") -> "list[list[Tried]]":
    """Those of one name that change the same, such as one of four straps slack, together."""
    from triplog.wording.varied import changes_lines

    gathered: dict[tuple[str, ...], list[Tried]] = {}
    for one in varied.tried:
        said = (one.variation.name, *changes_lines(one.changes))
        alike = said if one.variation.name in ("slack", "gone") else (*said, str(one.variation))
        gathered.setdefault(alike, []).append(one)
    return list(gathered.values())


def _record(varied: "Varied") -> dict[str, Any]:
    from triplog.wording.varied import figures_texts, verdict_words

    tried = []
    for one in varied.tried:
        changes = []
        for change in one.changes:
            was, now = verdict_words(change)
            before, after, required = figures_texts(change)
            changes.append(
                {
                    "rule": change.finding.rule,
                    "about": list(change.about),
                    "was": was,
                    "verdict": now,
                    "provided_before": before,
                    "provided": after,
                    "required": required,
                }
            )
        variation = one.variation
        tried.append(
            {
                "name": variation.name,
                "about": list(variation.about),
                "beyond_deck": list(variation.beyond_deck),
                "changes": changes,
            }
        )
    unsettled = [
        {"rule": one.rule, "about": list(one.about), "verdict": str(one.verdict)}
        for one in varied.unsettled
    ]
    return {"unsettled": unsettled, "tried": tried, "not_applying": list(varied.not_applying)}


COMMANDS = {"vary": vary}
