"""`triplog pair` and `triplog push`: this journal and the hub it is brought to."""

from typing import TYPE_CHECKING, Annotated

import typer

from triplog.cli.exit_codes import DONE, FOUND, REFUSED
from triplog.cli.face import AsJson, Face, face, leave, recorded, show, show_json
from triplog.cli.lines import tell
from triplog.desk.refused import Refused

if TYPE_CHECKING:
    from triplog.desk.hub_push import Brought, Pushed


def pair(
    context: typer.Context,
    address: Annotated[
        str | None, typer.Argument(help="Where the hub is: https://192.168.1.20:8745.")
    ] = None,
    code: Annotated[
        str | None, typer.Option("--code", help="The code that triplog hub code drew.")
    ] = None,
    certificate: Annotated[
        str | None,
        typer.Option("--certificate", help="The SHA-256 of the hub's certificate, as printed."),
    ] = None,
    end: Annotated[bool, typer.Option("--end", help="Forget the hub here.")] = False,
) -> None:
    """Pair this journal with a hub by a code, so that triplog push and watch bring it there."""
    from triplog.desk.hub_line import HubAway
    from triplog.desk.hub_pairing import SETTING, end_pairing
    from triplog.desk.hub_pairing import pair as pair_with
    from triplog.wording.hub import ENDED, paired_lines

    here = face(context)
    if end:
        if address or code or certificate:
            raise Refused("--end stands alone")
        desk = here.desk()
        entry = here.recording(desk, lambda: end_pairing(desk))
        show([recorded(entry, "paired with the hub no more"), f"  {ENDED}"])
        return
    if address is None or code is None:
        raise Refused("say where the hub is and its code, as triplog hub code printed them")
    try:
        entry, found = pair_with(here.desk(), address, code, certificate)
    except HubAway as problem:
        tell(f"{problem}. Nothing was recorded; try it again, and draw another code if it is over")
        leave(FOUND)
        return
    show([recorded(entry, f"paired with the hub of {found.carrier}")])
    show(paired_lines(found.opened, str(here.home / SETTING)))


def push(
    context: typer.Context,
    status: Annotated[
        bool, typer.Option("--status", help="Only say what the hub holds; ask nobody.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Bring what is new in this journal to the hub, and what the office wrote to this journal."""
    here = face(context)
    if status:
        _say_status(here, as_json=as_json)
        return
    from triplog.desk.hub_line import HubAway
    from triplog.desk.hub_push import push as push_to_hub
    from triplog.wording.hub import NOT_TAKEN, WAITS

    desk = here.desk()
    try:
        found = push_to_hub(desk)
    except HubAway as problem:
        tell(f"{problem}; {WAITS}")
        leave(FOUND)
        return
    except Refused as problem:
        # What the hub took and answered before that is recorded already.
        tell(f"{NOT_TAKEN}: {problem}")
        leave(REFUSED)
        return
    if as_json:
        show_json(_as_json(found))
    else:
        _say(found)
    leave(DONE if found.is_whole else FOUND)


def _say(found: "Pushed") -> None:
    from triplog.wording import hub

    own = found.own
    if own.outcome == "taken":
        show([hub.pushed_line(found.carrier, own.sent, own.held)])
    show(
        hub.former_line(one.device, one.sent, one.held, one.outcome, one.why)
        for one in found.former
    )
    show(hub.came_lines(found.came, found.signed))
    for line in hub.parted_lines(own.outcome, own.device, own.theirs):
        tell(line)
    for line in hub.trouble_lines(found.trouble):
        tell(line)


def _as_json(found: "Pushed") -> dict[str, object]:
    return {
        "carrier": found.carrier,
        "chains": [_chain(one) for one in (found.own, *found.former)],
        "came": found.came,
        "signed_size": found.signed,
        "trouble": found.trouble,
    }


def _chain(one: "Brought") -> dict[str, object]:
    return {
        "device": one.device,
        "outcome": one.outcome,
        "sent": one.sent,
        "up_to_entry": None if one.held is None else one.held.seq,
        "hash": None if one.held is None else one.held.hash,
        "why": one.why,
    }


def _say_status(here: Face, *, as_json: bool) -> None:
    from triplog.desk.hub_status import status_of
    from triplog.wording import hub

    desk = here.desk(reading_only=True)
    found = status_of(desk)
    if found is None:
        if as_json:
            show_json(None)
        else:
            show([hub.PAIRED_NOT])
        return
    if as_json:
        show_json(found.as_json)
        return
    show(
        hub.status_lines(
            found.carrier, found.address, found.held, found.own, found.heard, found.office
        )
    )
    show(hub.put_off_line(device, why) for device, why in found.put_off.items())
    show(hub.parted_lines(found.outcome, desk.store.device, found.theirs))


COMMANDS = {"pair": pair, "push": push}
