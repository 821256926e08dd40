"""When the checks on the road do not apply: sealed and ordered, or inspection impracticable.

49 CFR 392.9(b)(4) lifts the checks alone: the load must be tied adequately all the same.
"""

from datetime import datetime

from triplog.desk.desk import Desk, present
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.journal.entries import Body, Entry, time_text
from triplog.journal.trip import Trip

SEALED = "sealed and ordered not to open"
IMPRACTICABLE = "inspection impracticable"


def exempt_sealed(
    desk: Desk,
    trip: Trip,
    *,
    seal: str | None,
    ordered_by: str | None,
    ordered_at: datetime | None,
    driver_has_key: bool | None,
) -> Entry:
    """Record that the checks do not apply because of a seal and an order not to open it.

    Raises Refused unless all four are told, and where the driver holds a key: by the agency's
    guidance on 49 CFR 392.9, question 1, that is no seal.
    """
    refuse_at_the_wheel(trip)
    refuse_held_key(driver_has_key)
    if not (seal and ordered_by and ordered_at) or driver_has_key is None:
        raise Refused(
            "a sealed load is exempt only with the seal's number, who ordered it not to be opened,"
            " and when (--ordered-by, --ordered-at), and where the driver holds no key to it"
            " (--driver-has-no-key)"
        )
    body: Body = {"seal": seal, "ordered_at": time_text(ordered_at), "driver_has_key": False}
    return _record(desk, trip, SEALED, body, {"ordered_by": ordered_by})


def refuse_held_key(driver_has_key: bool | None) -> None:
    """Refuse a padlock as a seal; None: nobody said."""
    if driver_has_key:
        raise Refused("a padlock whose key the driver holds is no seal: the checks stay due")


def exempt_impracticable(
    desk: Desk, trip: Trip, *, reason: str | None, loaded_by: str | None
) -> Entry:
    """Record that the checks do not apply because the load cannot be inspected as it was loaded.

    Raises Refused unless it is told why, and who loaded it.
    """
    refuse_at_the_wheel(trip)
    if not (reason and loaded_by):
        raise Refused(
            "a load that cannot be inspected is exempt only with why it cannot be (--reason) and"
            " who loaded it (--loaded-by)"
        )
    return _record(desk, trip, IMPRACTICABLE, {}, {"reason": reason, "loaded_by": loaded_by})


def _record(
    desk: Desk, trip: Trip, grounds: str, body: Body, private: dict[str, str | None]
) -> Entry:
    return desk.record(
        desk.draft(
            "checks_exempted", present(grounds=grounds, **body), trip=trip.id, private=private
        )
    )
