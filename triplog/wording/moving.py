"""Back-ups, restored journals and journals taken in, in words. English."""

from collections.abc import Iterable, Iterator, Mapping

from triplog.journal.forks import Fork
from triplog.journal.taking_in import Received, Taken
from triplog.wording.two_journals import FORK

NOTHING_NEW = "nothing new in it; nothing was recorded"
_AFTER_A_LOSS = "  after a loss: `triplog restore {target}` goes on from it, as a new device"
_KEEP_AWAY = "  keep it somewhere else than on this machine, and make another after the next trip"
_OWN_FORK = (
    "    this is the chain of this very device: a copy of its file went on under its name. Go on"
    " from a back-up, as a new device: `triplog backup FILE`, then in a new folder"
    " `triplog restore FILE`"
)
_KEPT = (
    "    what is held here stays as it is; the other history is kept beside it as evidence, and"
    " counts for nothing. Keep {source} too"
)
_HEAD = "the last signed head: a copy of it elsewhere shows whether a back-up is the latest"
_BESIDE = {
    "device-key.pem": "the device's key: a restored journal makes its own",
    "office.json": "the way out to the office: set it up anew after a restore",
    "hub.json": "the pairing with the hub: pair it anew after a restore",
}


def backed_up_lines(target: str, entries: int, beside: Iterable[str]) -> Iterator[str]:
    """What is in a back-up, what is not, and what to do after a loss."""
    yield f"  {entries} entries, all that was recorded before this one; read back and checked"
    for name in beside:
        told = _HEAD if name.endswith(".checkpoint") else _BESIDE.get(name)
        yield f"  not in it: {name}" + (f" ({told})" if told else "")
    yield _AFTER_A_LOSS.format(target=target)
    yield _KEEP_AWAY


def taken_in_lines(taken: Taken, own_device: str, source: str) -> Iterator[str]:
    """What was received of each device, and every fork."""
    for device, one in sorted(taken.devices.items()):
        whose = ", which is this one" if device == own_device else ""
        kept = f", {one.evidence} kept as evidence" if one.evidence else ""
        yield (
            f"  device {device}{whose}: {one.new} new, up to entry {one.seq}"
            f" [{str(one.hash)[:8]}]{kept}"
        )
    yield from found_fork_lines(taken.devices, own_device, source)


def photo_lines(brought: int, lacking: int) -> Iterator[str]:
    """How many photos came with it, and how many have to be brought otherwise."""
    if brought:
        yield f"  {brought} {'photo' if brought == 1 else 'photos'} came with it"
    if lacking:
        photos = "photo is" if lacking == 1 else "photos are"
        yield (
            f"  ! {lacking} {photos} named by entries here and not in it: take in a back-up or a"
            " bundle of the whole store, which hold them"
        )


def found_fork_lines(
    devices: Mapping[str, Received], own_device: str, source: str
) -> Iterator[str]:
    """Every fork that was met, and what to do."""
    for device, one in sorted(devices.items()):
        if one.fork_seq is None:
            continue
        yield (
            f"  device {device}: from its entry {one.fork_seq} on it tells another history than"
            f" the one held here: {str(one.fork_held)[:8]} here, {str(one.fork_other)[:8]} there"
        )
        yield FORK
        yield _KEPT.format(source=source)
        if device == own_device:
            yield _OWN_FORK


def fork_lines(forks: Iterable[Fork]) -> Iterator[str]:
    """The forks a journal holds evidence of."""
    for one in forks:
        yield (
            f"a fork of device {one.device}: from its entry {one.seq} on there is another history,"
            f" {one.entries} entries of it kept as evidence [{one.held[:8]} here,"
            f" {one.other[:8]} there]"
        )
