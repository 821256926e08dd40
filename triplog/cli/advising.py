"""`triplog advise`."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from triplog.cli.exit_codes import DONE, FOUND
from triplog.cli.face import AsJson, OfTrip, leave, show, show_json
from triplog.cli.judging import open_trip, plan_bytes, summary

if TYPE_CHECKING:
    from triplog.advise.choosing import Added, Advice, Short
    from triplog.desk.advising import Advised
    from triplog.securement.finding import Finding

_SECONDS_MAX = 600.0
_GRANTED = (
    "taken for granted, and to be done so: a protector at both edges of each, no knot, each"
    " tensioned to what its label says (STF), else to --tension; look at each piece before use"
)


def advise(
    context: typer.Context,
    file: Annotated[
        Path | None, typer.Option("--file", help="A plan file; its unused gear is the stock.")
    ] = None,
    rules: Annotated[
        list[str] | None,
        typer.Option("--rules", help="A rule set to meet; may be repeated. Else the plan's own."),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--only", help="How a rule to meet begins, such as static-forward; may be repeated."
        ),
    ] = None,
    afresh: Annotated[
        bool, typer.Option("--afresh", help="As if no tie-down were on the plan yet.")
    ] = False,
    tension: Annotated[
        str | None, typer.Option("--tension", help="Tension of gear whose label gives none (STF).")
    ] = None,
    seconds: Annotated[
        float, typer.Option("--seconds", min=0.1, max=_SECONDS_MAX, help="Limit of each search.")
    ] = 10.0,
    trip: OfTrip = None,
    as_json: AsJson = False,
) -> None:
    """Say what gear at hand, over the top, would make the plan meet: fewest, then lightest."""
    from triplog.desk.advising import Wanted, advise_on_file, advise_on_trip

    wanted = Wanted(
        rules=tuple(rules or ()),
        only=tuple(only or ()),
        afresh=afresh,
        tension=tension,
        seconds=seconds,
    )
    if file is not None:
        advised = advise_on_file(plan_bytes(file, trip), file.name, wanted)
    else:
        advised = advise_on_trip(*open_trip(context, trip), wanted)
    if as_json:
        show_json(_record(advised))
    else:
        show(_lines(advised))
    done = advised.advice.added is not None and not advised.advice.open
    leave(DONE if done else FOUND)


def _lines(advised: "Advised") -> list[str]:
    advice = advised.advice
    if advice.added is None:
        lines = _nothing_would_do(advice)
    elif not advice.added:
        lines = ["nothing to add: what more tie-downs could change is met"]
    else:
        lines = _what_to_add(advice)
    if advice.open:
        more = "still open, and not a matter of more tie-downs:"
        lines += ["", "not settled as it is:" if advice.added is None else more]
        lines += [f"  {_open(one)}" for one in advice.open]
    return [*lines, "", f"the plan with it: {summary(advised.findings)}" if advice.added else
            f"the plan as it is: {summary(advised.findings)}"]  # fmt: skip


def _what_to_add(advice: "Advice") -> list[str]:
    assert advice.added
    count = len(advice.added)
    noun = "tie-down" if count == 1 else "tie-downs"
    sure = (
        "no fewer and no lighter from this stock would do"
        if advice.proven
        else f"the search was cut short: at least {advice.fewest} are needed"
    )
    lines = [
        f"add {count} {noun} over the top; {sure}",
        *(f"  triplog {_command(one)}" for one in advice.added),
        _GRANTED,
    ]
    if any(one.gear.mass is None for one in advice.added):
        lines.append(
            "what some of this gear weighs is not known; it was taken as heavier than the rest"
        )
    return lines


def _command(added: "Added") -> str:
    station = added.station
    holds = " ".join(f"--holds {one}" for one in station.holds)
    return (
        f"tie-down add --gear {added.gear.id} {holds} --from {station.start} --to {station.end}"
        " --edges 2/2 --no-knots"
    )


def _nothing_would_do(advice: "Advice") -> list[str]:
    lines = [
        f"nothing at hand would do; pieces that can go over the top: {advice.pieces},"
        f" places for them between opposite anchor points: {advice.stations}"
    ]
    lines += [f"  {_short(one)}" for one in advice.short]
    if advice.stations and advice.pieces and advice.proven and not advice.short:
        lines.append("  each rule alone could be met, but not all of them together")
    if not advice.proven:
        lines.append("  the search was cut short; this is not known for sure (--seconds)")
    if not advice.stations:
        lines.append(
            "  a place needs two anchor points opposite each other, with where they are, that hold"
            " nothing yet"
        )
    return lines


def _short(short: "Short") -> str:
    from triplog.wording.findings import citation_text, title

    required, best = _texts(short)
    about = ", ".join(short.finding.about)
    return (
        f"{title(short.finding)}: {about}: asked {required}, at best {best}"
        f"   {short.finding.rule}   {citation_text(short.finding)}"
    )


def _texts(short: "Short") -> tuple[str, str]:
    from triplog.securement.finding import Count
    from triplog.securement.quantity import amount_of_si
    from triplog.wording.amounts import amount_text, count_text

    asked = short.finding.required
    assert asked is not None
    if isinstance(asked, Count):
        return count_text(asked), count_text(Count(value=int(short.best), unit=asked.unit))
    best = amount_of_si(short.best, asked.unit, asked.dimension)
    return amount_text(asked, "up"), amount_text(best, "down")


def _open(finding: "Finding") -> str:
    from triplog.wording.findings import title, unknown_line

    why = unknown_line(finding)
    told = f"{finding.verdict}: {title(finding)}: {', '.join(finding.about)}   {finding.rule}"
    return f"{told}   not known: {why}" if why else told


def _record(advised: "Advised") -> dict[str, Any]:
    advice = advised.advice
    return {
        "added": None
        if advice.added is None
        else [
            {
                "gear": one.gear.id,
                "holds": list(one.station.holds),
                "from": one.station.start,
                "to": one.station.end,
            }
            for one in advice.added
        ],
        "proven": advice.proven,
        "fewest": advice.fewest,
        "judged": advice.rounds,
        "pieces": advice.pieces,
        "stations": advice.stations,
        "short": [
            {
                "rule": one.finding.rule,
                "about": list(one.finding.about),
                "required": _texts(one)[0],
                "best": _texts(one)[1],
            }
            for one in advice.short
        ],
        "open": [
            {"rule": one.rule, "about": list(one.about), "verdict": str(one.verdict)}
            for one in advice.open
        ],
    }


COMMANDS = {"advise": advise}
