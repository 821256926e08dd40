"""What a monitoring system may ask of a hub: whether it is well, and figures (OpenMetrics 1.0).

Only this machine is answered, and whoever `hub serve` was told of.
"""

import ipaddress
from collections.abc import Iterable, Iterator
from typing import NamedTuple

from starlette.requests import Request

from triplog.hub.state import Counted, SchemaOlder, Standing

MEDIA_TYPE = "application/openmetrics-text; version=1.0.0; charset=utf-8"
TURN_AGE_MAX_S = 300.0
"""A worker looks at least every few seconds; after so long without, none runs, or none can."""
UNTOLD_AGE_MAX_S = 3600.0
"""A message that no office took for so long."""
_OUTCOMES = ("taken", "resume", "behind", "forked", "refused", "not_let_in", "put_off", "fault")
_PAIRINGS = ("paired", "refused")


class Sample(NamedTuple):
    """A value of a family, with its labels and the end of its name."""

    value: float | int
    labels: tuple[tuple[str, str], ...] = ()
    suffix: str = ""


class Family(NamedTuple):
    """A metric family: its name, kind, unit ("": none), help and values."""

    name: str
    kind: str
    unit: str
    told: str
    samples: tuple[Sample, ...]


def may_watch(request: Request, told: frozenset[str]) -> bool:
    """Whether who asks is this machine, or an address that was told."""
    own = request.scope.get("server") or ("", None)
    try:
        caller = ipaddress.ip_address(request.client.host if request.client else "")
    except ValueError:
        return False
    if isinstance(caller, ipaddress.IPv6Address) and caller.ipv4_mapped is not None:
        caller = caller.ipv4_mapped
    return caller.is_loopback or str(caller) in told or str(caller) == own[0]


def health(found: Standing | Exception, *, has_key: bool) -> dict[str, object]:
    """Whether a hub is well: whether it takes in, and what is the trouble, in words."""
    trouble = list(_not_taking_in(found, has_key))
    takes_in = not trouble
    told: dict[str, object] = {}
    if isinstance(found, Standing):
        trouble += _left_undone(found)
        told = {
            "worker_turned_s_ago": found.turned_s,
            "waiting_to_be_derived": found.to_derive.count,
            "late_checks_not_told": found.to_tell.count,
        }
    return {
        "is_well": not trouble,
        "takes_in": takes_in,
        "database": "away" if _is_away(found) else "reached",
        "schema": None if _is_away(found) else _schema(found),
        **told,
        "trouble": trouble,
    }


def metrics(found: Standing | Exception, counted: Counted) -> str:
    """The figures as OpenMetrics text."""
    families = [*_of_process(counted), *_of_database(found)]
    lines = [line for family in families for line in _lines(family)]
    return "\n".join([*lines, "# EOF", ""])


def _not_taking_in(found: Standing | Exception, has_key: bool) -> Iterator[str]:
    if isinstance(found, SchemaOlder):
        yield str(found)
    elif isinstance(found, Exception):
        yield "the database cannot be reached"
    if not has_key:
        yield "the hub's key is not there; nothing is taken in without it"


def _left_undone(found: Standing) -> Iterator[str]:
    if found.ahead:
        yield (
            "devices have entries of this hub's own logs that are not here: was a back-up put back?"
            " Then: triplog hub put-back"
        )
    if found.turned_s is None or found.turned_s > TURN_AGE_MAX_S:
        yield "no worker runs: late checks are told to nobody; triplog hub work"
    if (found.to_tell.oldest_s or 0) > UNTOLD_AGE_MAX_S:
        yield "late checks are written down that no office took"


def _is_away(found: Standing | Exception) -> bool:
    return not isinstance(found, Standing | SchemaOlder)


def _schema(found: Standing | Exception) -> str:
    return "another" if isinstance(found, SchemaOlder) else "newest"


def _of_process(counted: Counted) -> Iterator[Family]:
    yield _counter(
        "triplog_hub_batches", "Batches since this hub began, by what came of them.",
        "outcome", {one: counted.batches[one] for one in _OUTCOMES},
    )  # fmt: skip
    yield _counter(
        "triplog_hub_pairings", "Pairings of devices since this hub began.",
        "outcome", {one: counted.pairings[one] for one in _PAIRINGS},
    )  # fmt: skip


def _of_database(found: Standing | Exception) -> Iterator[Family]:
    yield _gauge("triplog_hub_database_up", "1: the database is reached.", int(not _is_away(found)))
    if _is_away(found):
        return
    yield _gauge(
        "triplog_hub_schema_newest", "1: the tables are this program's.",
        int(isinstance(found, Standing)),
    )  # fmt: skip
    if not isinstance(found, Standing):
        return
    yield _gauge(
        "triplog_hub_database_answer_seconds", "How long the database took for these figures.",
        found.answered_s, "seconds",
    )  # fmt: skip
    yield Family(
        "triplog_hub_entries", "counter", "", "Entries held, of all chains.",
        (Sample(found.entries, suffix="_total"),),
    )  # fmt: skip
    yield _by(
        "triplog_hub_devices", "Paired devices, by how long ago they were last heard of.",
        "heard_within", found.devices,
    )  # fmt: skip
    yield _gauge("triplog_hub_devices_behind", "Devices that are old copies.", found.behind)
    yield _gauge(
        "triplog_hub_devices_ahead",
        "Devices that have entries of the hub's own logs which are not here.", found.ahead,
    )  # fmt: skip
    waiting = {"derive": found.to_derive, "tell": found.to_tell}
    yield _by(
        "triplog_hub_waiting", "What waits: rows to be made, late checks to be told.",
        "work", {work: one.count for work, one in waiting.items()},
    )  # fmt: skip
    yield _by(
        "triplog_hub_waiting_oldest_seconds", "For how long the first of them waits; 0: none.",
        "work", {work: one.oldest_s or 0 for work, one in waiting.items()}, "seconds",
    )  # fmt: skip
    yield _gauge(
        "triplog_hub_put_aside", "Trips and things no rows can be made of.", found.put_aside
    )
    yield _gauge("triplog_hub_workers", "Workers heard of within the hour.", found.workers)
    if found.turned_s is not None:
        yield _gauge(
            "triplog_hub_worker_turn_age_seconds", "Since the last turn of any worker.",
            found.turned_s, "seconds",
        )  # fmt: skip


def _gauge(name: str, told: str, value: float, unit: str = "") -> Family:
    return Family(name, "gauge", unit, told, (Sample(value),))


def _by(
    name: str, told: str, label: str, values: dict[str, int] | dict[str, float], unit: str = ""
) -> Family:
    samples = tuple(Sample(value, ((label, one),)) for one, value in values.items())
    return Family(name, "gauge", unit, told, samples)


def _counter(name: str, told: str, label: str, values: dict[str, int]) -> Family:
    samples = tuple(Sample(value, ((label, one),), "_total") for one, value in values.items())
    return Family(name, "counter", "", told, samples)


def _lines(family: Family) -> Iterable[str]:
    yield f"# TYPE {family.name} {family.kind}"
    if family.unit:
        yield f"# UNIT {family.name} {family.unit}"
    yield f"# HELP {family.name} {family.told}"
    for value, labels, suffix in family.samples:
        inside = ",".join(f'{name}="{text}"' for name, text in labels)
        yield f"{family.name}{suffix}{'{' + inside + '}' if inside else ''} {value}"
