"""What each country's sources print, written down a second time: limits, and what is due at once.

A limit that binds nobody is advice: gone beyond, it is late, and the office is told nothing.
"""

from typing import NamedTuple

HOUR_MS = 3_600_000
MILE_MM = 1_609_344
KM_MM = 1_000_000

AT_THE_WHEEL = {"first_time", "driving_time", "driving_break", "observed_loss"}
EVERY_SO_LONG = {"driving_time", "driving_break"}
TIMED = {*AT_THE_WHEEL, "work_time"}
FIRST = {"first_distance", "first_time"}


class Printed(NamedTuple):
    """A limit: millimetres, or milliseconds for the timed kinds."""

    kind: str
    limit: int
    binds: bool


class Country(NamedTuple):
    """What runs in a country. `at_once`: duty changes or loading; events are everywhere."""

    limits: tuple[Printed, ...]
    at_once: tuple[str, ...]


CANADA = Country(
    # NSC Standard 10 s.3, as the Ontario truck driver handbook restates it: 80 km, 240 km, 3 hours.
    (
        Printed("first_distance", 80 * KM_MM, True),
        Printed("distance", 240 * KM_MM, True),
        Printed("driving_time", 3 * HOUR_MS, True),
    ),
    ("duty_change",),
)
BREAK = Country(
    # Regulation (EC) No 561/2006 art. 7, as secondary pages give it: a break after 4.5 h at the
    # wheel; taking it as a time to look is common practice. Both guides ask for a look after each
    # unloading.
    (Printed("driving_break", 9 * HOUR_MS // 2, False),),
    ("load_change",),
)
COUNTRIES = {
    "us-392.9": Country(
        # 49 CFR 392.9(b)(2) and (3): 50 miles, 150 miles, 3 hours, a change of duty status.
        (
            Printed("first_distance", 50 * MILE_MM, True),
            Printed("distance", 150 * MILE_MM, True),
            Printed("driving_time", 3 * HOUR_MS, True),
        ),
        ("duty_change",),
    ),
    "ca-nsc10": CANADA,
    # Across the border the smaller of each kind: 50 mi are 80.5 km, 150 mi 241.4 km. Our reading.
    "us-392.9 ca-nsc10": CANADA,
    "au-lrg": Country(
        # Load Restraint Guide 2018, planning step 10, as a training text gives it: within the first
        # hour. National heavy vehicle fatigue regulation s.5, second-hand: a rest in any 5.5 h,
        # 15 min of it off, so after 5.25 h of work. A Queensland council: each time an item is
        # added or removed.
        (
            Printed("first_time", HOUR_MS, False),
            Printed("work_time", 21 * HOUR_MS // 4, False),
        ),
        ("load_change",),
    ),
    # Land Transport Rule 62001/2007, second-hand: a break after 5.5 h of work.
    "nz-code": Country((Printed("work_time", 11 * HOUR_MS // 2, False),), ()),
    "gb-guide": BREAK,
    "eu-guide": BREAK,
    "gb-guide eu-guide": BREAK,
}

STRAP_MAKER = "strap-maker"
SOFT_FIRST = Printed("first_distance", 15 * KM_MM, False)
"""Common practice, no source: soft loads early; the number is ours."""
STRAP_FIRST = Printed("first_distance", 20 * MILE_MM, False)
STRAP_AGAIN = Printed("distance", 30 * MILE_MM, False)
"""A strap maker's how-to page, second-hand: 20 miles, then every 30 to 50."""


def country_of(rule_set: str, *, soft_load: bool) -> Country:
    """What runs on a trip: the country's, with the advice that comes on top of it.

    Of two pieces of advice the shorter runs. A law that is longer runs on beside it: gone beyond
    advice is not late by the law.
    """
    place, _, more = rule_set.partition(f" {STRAP_MAKER}")
    assert not more
    limits, at_once = COUNTRIES[place]
    advice: list[Printed] = []
    if soft_load:
        advice.append(SOFT_FIRST)
    if rule_set != place:
        advice += [STRAP_AGAIN] if soft_load else [STRAP_FIRST, STRAP_AGAIN]
    return Country((*limits, *advice), at_once)
