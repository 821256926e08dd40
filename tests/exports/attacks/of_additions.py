"""What is added to a true log, or put in its place behind a head that somebody holds.

No entry below a head from outside can be altered; so these add entries that change how the rest
reads, name a key of their own, or take away what nothing seems to count.
"""

from functools import partial
from pathlib import Path

from tests.exports.attacks.attack import REWRITTEN, Attack, Made
from tests.exports.attacks.signed_day import (
    AT_DEPARTURE,
    DEVICE,
    KEY,
    OTHER_KEY,
    bag,
    head,
    public,
    signed_day,
)
from tests.specimens.builder import Log, entry_hash

_FITS = frozenset[str]()
_EXPORT = frozenset({"export-differs"})


def departure_put_in_by_another_device(home: Path) -> Attack:
    """A device without a head tells of another departure, dated before the true one."""
    day = signed_day()
    note = head(day).text
    day.add("plan_recorded", device="dev-9", body={"plan": {"length": "29'"}})
    day.add("departed", device="dev-9", body={"odometer": "120,000 mi"})
    return Attack(path=bag(home / "bundle", day, trip=True, note=note), alone=_EXPORT)


def device_of_a_name_that_looks_alike(home: Path) -> Attack:
    """A name that ends with a space prints like the true one."""
    day = signed_day()
    note = head(day).text
    day.add("departed", device=f"{DEVICE} ", body={"odometer": "120,000 mi"})
    return Attack(
        path=bag(home / "bundle", day, trip=True, note=note),
        alone=_EXPORT | {"entry-malformed"},
    )


def key_that_appoints_itself(home: Path, *, trip: bool) -> Attack:
    """Behind a head that somebody holds the log names a new key, and goes on under that."""
    day = signed_day()
    forged = _after_departure(day)
    forged.add("key_recorded", trip=None, body={"key": public(OTHER_KEY), "why": "changed"})
    forged.add("check_completed", body={"late": "no"})
    forged.add("trip_closed")
    forged.add("exported")
    own = head(forged, key=OTHER_KEY)
    return Attack(
        path=bag(home / "bundle", forged, trip=trip, note=own.text),
        limit=REWRITTEN,
        outside={
            ("--code", head(day, AT_DEPARTURE).checkpoint.code): _FITS,
            ("--public-key", public(KEY)): frozenset({"outside-key-differs"}),
            ("--public-key", public(KEY), "--public-key", public(OTHER_KEY)): _FITS,
        },
    )


def _after_departure(day: Log) -> Log:
    """The day up to the signed head at departure."""
    kept = Log(entries=day.entries[: AT_DEPARTURE + 1])
    hashes = {entry_hash(one) for one in kept.entries}
    kept.openings = [one for one in day.openings if one["entry"] in hashes]
    return kept


def openings_left_out_that_nobody_withheld(home: Path, *, trip: bool) -> Attack:
    """A note is taken away; the card says nothing of it, and nor does the log."""
    day = signed_day()
    day.openings = [one for one in day.openings if one["field"] != "note"]
    return Attack(path=bag(home / "bundle", day, trip=trip), alone=_EXPORT)


def key_of_another_log_s_head(home: Path) -> Attack:
    """A log without heads is shown beside the key of the true device."""
    forged = signed_day(plan="26'", key=OTHER_KEY, recorded=OTHER_KEY)
    return Attack(
        path=bag(home / "bundle", forged, trip=True, note=head(forged, key=OTHER_KEY).text),
        limit=REWRITTEN,
        outside={
            ("--public-key", public(KEY, "dev-7")): frozenset({"outside-key-unconnected"}),
            ("--head", f"{DEVICE}:100:{'ab' * 32}"): frozenset({"outside-head-unconnected"}),
        },
    )


ATTACKS: dict[str, Made] = {
    "departure_put_in_by_another_device": departure_put_in_by_another_device,
    "device_of_a_name_that_looks_alike": device_of_a_name_that_looks_alike,
    "key_that_appoints_itself-store": partial(key_that_appoints_itself, trip=False),
    "key_that_appoints_itself-trip": partial(key_that_appoints_itself, trip=True),
    "openings_left_out-store": partial(openings_left_out_that_nobody_withheld, trip=False),
    "openings_left_out-trip": partial(openings_left_out_that_nobody_withheld, trip=True),
    "key_of_another_log": key_of_another_log_s_head,
}
