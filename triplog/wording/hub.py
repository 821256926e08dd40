"""What a hub holds of this journal, and what came of bringing it there, in words. English."""

from collections.abc import Iterable, Iterator, Mapping

from triplog.journal.batch import Place

WAITS = (
    "nothing is lost, it waits in the journal here; triplog watch tries again by itself, after"
    " half a minute at first, later once an hour; triplog push tries at once"
)
NOT_TAKEN = "not pushed, and nothing is lost; it waits in the journal here"
PAIRED_NOT = "this journal is paired with no hub; a code is drawn there, for triplog pair"
ENDED = "the hub is told of nothing new from here any more; what it holds it keeps"


def paired_lines(opened: Iterable[str], setting: str) -> Iterator[str]:
    """What follows a pairing."""
    yield f"  private values that travel there: {', '.join(opened) or 'none'}"
    yield f"  what this device shows the hub lies in {setting}: in no back-up and in no export"
    yield "  next: triplog push; triplog watch pushes by itself"


def pushed_line(carrier: str, sent: int, held: Place | None) -> str:
    """What the hub holds now."""
    if sent:
        return f"pushed to the hub of {carrier}: {_entries(sent)}, {_up_to(held)}"
    return f"nothing new for the hub of {carrier}: it holds this journal {_up_to(held)}"


def former_line(device: str, sent: int, held: Place | None, outcome: str, why: str | None) -> str:
    """What came of the chain of a former device."""
    if outcome == "refused":
        return (
            f"  of the former device {device} nothing was taken: {why}. Once its pairing is ended"
            " at the hub (triplog hub unpair), triplog push brings it"
        )
    if outcome == "behind":
        return f"  of the former device {device} the hub holds more than this journal has"
    if outcome == "forked":
        return (
            f"  of the former device {device} the hub holds another history; what this journal"
            " has of it is kept there as evidence"
        )
    return f"  of the former device {device}: {_entries(sent)}, {_up_to(held)}"


def came_lines(came: int, signed: int | None) -> Iterator[str]:
    """What came back."""
    if came:
        yield f"  from the office came {_entries(came)}"
    if signed is not None:
        yield f"  the hub signed the head of this log over {_entries(signed)}; that is recorded"


def parted_lines(outcome: str, device: str, theirs: Place | None) -> Iterator[str]:
    """What an old copy, or one that went another way, is told, and what to do."""
    if outcome == "behind" and theirs is not None:
        yield (
            f"! this journal is an old copy: the hub holds it up to entry {theirs.seq}, and the"
            " last of that is not here. Nothing more is pushed from it. Do not go on here: what is"
            " recorded here would be another history. Go on from the newest back-up, as a new"
            " device, and take this journal in there:"
        )
        head = f"{device}:{theirs.seq}:{theirs.hash}"
        yield f"    triplog --home A-NEW-FOLDER restore BACKUP --known-head {head}"
        yield "    triplog --home A-NEW-FOLDER take-in THIS-JOURNAL"
    elif outcome == "forked":
        where = "" if theirs is None else f" from entry {theirs.seq} on"
        yield (
            f"! the hub holds another history of this device{where}: a copy of this journal went"
            " on under its name. What this one has is kept there as evidence, and not taken into"
            " the line of the device. Find the other copy. Then go on from this one as a new"
            " device, and pair that:"
        )
        yield "    triplog backup FILE"
        yield "    triplog --home A-NEW-FOLDER restore FILE"


def set_back_line(device: str, before: Place, now: Place | None) -> str:
    """What is said where a hub holds less than it had said it does."""
    return (
        f"the hub had the log of {device} {_up_to(before)} and now has it {_up_to(now)}: it was"
        " set back, as by putting back its back-up. What it lacks of it is brought again by itself"
    )


def trouble_lines(trouble: Iterable[str]) -> Iterator[str]:
    """What went wrong beside."""
    return (f"! {one}" for one in trouble)


def status_lines(
    carrier: str,
    address: str,
    held: Place | None,
    own: Place | None,
    heard: str | None,
    office: Mapping[str, int],
) -> Iterator[str]:
    """With which hub, up to where, since when, and what waits."""
    yield f"paired with the hub of {carrier} at {address}"
    waiting = (-1 if own is None else own.seq) - (-1 if held is None else held.seq)
    yield f"  it holds this journal {_up_to(held)}; {_entries(waiting)} wait here"
    yield f"  it was last heard {heard}" if heard else "  it was not heard yet"
    for device, seq in office.items():
        yield f"  of the office's log {device} this journal has all up to entry {seq}"


def put_off_line(device: str, why: str) -> str:
    """A former device's chain that the hub did not take."""
    return f"  of the former device {device} not all is there: {why}"


def _up_to(held: Place | None) -> str:
    return "with no entry yet" if held is None else f"up to entry {held.seq} [{held.hash[:8]}]"


def _entries(count: int) -> str:
    return f"{count} {'entry' if count == 1 else 'entries'}"
