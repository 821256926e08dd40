"""The story of the demo: one invented day of an invented small carrier, as command lines.

The carrier serves orchards and garden builders with a flatbed and with a light truck that pulls a
tilt-bed trailer. Ratings are invented, as on invented labels. People stand by their role only.
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone

OFFSET_MIN = -300
_ZONE = timezone(timedelta(minutes=OFFSET_MIN))
START = datetime(2026, 5, 12, 5, 40, tzinfo=_ZONE).astimezone(UTC)


@dataclass(frozen=True, slots=True)
class Say:
    """A line of the story."""

    text: str


@dataclass(frozen=True, slots=True)
class Step:
    """A command line; `moment` moves the clock first, `ends_with` is the exit code it must have.

    The word DEMO stands for the demo's folder.
    """

    words: tuple[str, ...]
    moment: datetime | None = None
    ends_with: int = 0

    @staticmethod
    def clock_text(moment: datetime) -> str:
        """The time on the story's clock."""
        return moment.astimezone(_ZONE).strftime("%H:%M")


def _at(hour: int, minute: int, *words: str, ends_with: int = 0) -> Step:
    moment = datetime(2026, 5, 12, hour, minute, tzinfo=_ZONE).astimezone(UTC)
    return Step(words=words, moment=moment, ends_with=ends_with)


def _then(*words: str, ends_with: int = 0) -> Step:
    return Step(words=words, ends_with=ends_with)


_STRAP = ("--no-damage", "--width", "2 in", "--length", "27 ft", "--hooks", "flat hook")
_PALLET = (
    "--mass", "2200 lb", "--basis", "stated", "--length", "4 ft", "--width", "4 ft",
    "--height", "4 ft", "--commodity", "general",
    "--no-sharp-edges", "--does-not-roll", "--not-contained", "--stands",
)  # fmt: skip
_POSTS = (
    "--mass", "3000 lb", "--basis", "stated", "--length", "8 ft", "--width", "4 ft",
    "--height", "3 ft", "--at", "1 ft, left 2 ft", "--commodity", "dressed lumber",
    "--blocked", "forward=nothing", "--no-sharp-edges", "--does-not-roll", "--not-contained",
    "--stands",
)  # fmt: skip
_OVER_PALLET = ("--no-knots", "--edges", "0/0")

_SETTING_UP = (
    Say("Before light, in the yard. The owner-operator sets the log up, once."),
    _at(
        5, 40, "begin", "--carrier", "the demo carrier", "--person", "owner", "--name",
        "the owner", "--role", "types", "--role", "drives", "--units", "us", "--paper", "letter",
    ),
    _then("person", "add", "yard-hand", "--role", "loads", "--role", "drives"),
    _then(
        "vehicle", "add", "flatbed", "--gross-mass", "33000 lb", "--use", "interstate business",
        "--deck-length", "24 ft", "--deck-width", "8 ft", "--deck-height", "4 ft",
        "--deck-surface", "sawn timber", "--front", "none", "--top-speed", "65 mph",
    ),
    _then(
        "vehicle", "anchors", "flatbed", "--side", "both", "--first", "2 ft", "--every", "4 ft",
        "--kind", "stake pocket", "--accepts", "flat hook", "--wll", "5000 lb",
    ),
    _then(
        "vehicle", "anchors", "flatbed", "--side", "both", "--first", "8 ft", "--every", "7 ft",
        "--count", "2", "--kind", "ring", "--accepts", "flat hook", "--wll", "5000 lb",
    ),
    Say("One stake pocket is bent; nobody trusts it with more than 1,500 lb."),
    _then("vehicle", "anchor", "flatbed", "L3", "--wll", "1500 lb"),
    _then(
        "vehicle", "add", "light truck and tilt-bed", "--gross-mass", "14000 lb", "--use",
        "interstate business", "--deck-length", "16 ft", "--deck-width", "6 ft 8 in", "--front",
        "none", "--top-speed", "65 mph",
    ),
    _then(
        "vehicle", "anchors", "light truck and tilt-bed", "--first", "1 ft", "--every", "5 ft",
        "--kind", "ring", "--accepts", "snap hook", "--accepts", "grab hook", "--wll", "3000 lb",
    ),
    Say("The side box: ten marked straps, one whose label is gone, two chains, light straps."),
    _at(5, 48, "gear", "add", "S-1", *_STRAP, "--wll", "3335 lb", "--count", "10"),
    _then("gear", "add", "S-11", *_STRAP, "--tracer-lines", "2"),
    _then(
        "gear", "add", "C-1", "--kind", "chain", "--size", "5/16 in", "--grade", "70",
        "--length", "16 ft", "--wll", "4700 lb", "--hooks", "grab hook", "--hooks-wll", "4700 lb",
        "--tensioner", "ratchet binder", "--tensioner-wll", "5400 lb", "--no-damage",
        "--count", "2",
    ),
    _then(
        "gear", "add", "W-1", "--width", "1 in", "--length", "12 ft", "--wll", "1000 lb",
        "--hooks", "snap hook", "--no-damage", "--count", "4",
    ),
    _then("gear", "list"),
)  # fmt: skip

_PLANNING = (
    Say("First trip: a crated orchard sprayer, and three pallets of bagged lime tight behind it."),
    _at(
        5, 55, "trip", "new", "--label", "orchard", "--vehicle", "flatbed", "--from", "the yard",
        "--to", "an orchard, then a garden builder", "--papers", "demo-001",
    ),
    _then(
        "article", "add", "crated orchard sprayer", "--mass", "7400 lb", "--basis", "weighed",
        "--length", "12 ft", "--width", "6 ft", "--height", "5 ft", "--commodity", "general",
        "--at", "0 ft, centre", "--blocked", "forward=nothing", "--sharp-edges",
        "--does-not-roll", "--not-contained", "--stands", "--id", "A",
    ),
    _then("article", "add", "pallet of bagged lime", *_PALLET, "--id", "LIME-1",
          "--at", "12 ft, centre", "--blocked", "forward=A"),
    _then("article", "add", "pallet of bagged lime", *_PALLET, "--id", "LIME-2",
          "--at", "16 ft, centre", "--blocked", "forward=LIME-1"),
    _then("article", "add", "pallet of bagged lime", *_PALLET, "--id", "LIME-3",
          "--at", "20 ft, centre", "--blocked", "forward=LIME-2"),
    _at(
        6, 3, "tie-down", "add", "--gear", "S-11", "--holds", "A", "--from", "L1", "--to", "R1",
        "--edges", "2/2", "--no-knots",
    ),
    _then(
        "tie-down", "add", "--gear", "S-2", "--holds", "A", "--from", "L2", "--to", "R2",
        "--edges", "1/2", "--no-knots",
    ),
    _then(
        "tie-down", "add", "--gear", "S-1", "--holds", "A", "--from", "L3", "--to", "R3",
        "--edges", "2/2", "--no-knots",
    ),
    _then("tie-down", "add", "--gear", "S-3", "--holds", "LIME-1", "--from", "L4", "--to", "R4",
          *_OVER_PALLET),
    _then("tie-down", "add", "--gear", "S-4", "--holds", "LIME-2", "--from", "L5", "--to", "R5",
          *_OVER_PALLET),
    _then("tie-down", "add", "--gear", "S-5", "--holds", "LIME-3", "--from", "L6", "--to", "R6",
          *_OVER_PALLET),
    Say(
        "Is it adequate, and does the gear fit? Each rule by itself, with its sum. There is no one"
        " word for all of it."
    ),
    _at(6, 12, "judge", ends_with=1),
    Say(
        "T1 has the strap without a label: it counts 2,000 lb, by the law's table. T3 counts 1,500"
        " lb: the bent stake pocket governs, whatever the strap holds. An edge under T2 has no"
        " protector: it is found, fitted, and the plan says so."
    ),
    _at(6, 18, "tie-down", "change", "T2", "--edges", "2/2", "--reason",
        "protector found missing at the walk-round, fitted"),
    _then("judge", "--unsettled", ends_with=1),
    Say(
        "The law's minimum is met; the house rule (combined rating at least the weight) is not."
        " One more strap over the sprayer."
    ),
    _at(6, 22, "tie-down", "add", "--gear", "S-6", "--holds", "A", "--from", "L7", "--to", "R7",
        "--edges", "2/2", "--no-knots", "--id", "T7"),
    _then("judge", "--unsettled", ends_with=0),
)  # fmt: skip

_ROLLING = (
    Say("Departure. Where the first check is due is known before rolling."),
    _at(6, 30, "loaded"),
    _then("depart", "--odometer", "84310", "--next-stop", "the fuel stop",
          "--next-stop-odometer", "+40"),
    Say("The roadside sheet goes into the door pocket, the planned checks into the calendar."),
    _then("export", "--form", "sheet", "--form", "calendar", "--to", "DEMO/at-departure"),
    Say("The code of the log goes onto the bill of lading, which stays with the consignor."),
    _then("witness", "give", "paper", "--to", "the consignor", "--trip", "orchard"),
    Say("Nothing is asked of anybody who drives. At the fuel stop, off the road:"),
    _at(7, 14, "duty", "on duty", "--place", "the fuel stop"),
    _then("due"),
    _at(7, 21, "check", "--fine", "T1", "--fine", "T2", "--slack", "T3:2", "--fine", "T4",
        "--fine", "T5", "--fine", "T6", "--fine", "T7", "--odometer", "84351",
        "--note", "T3 had gone slack: packing under the crate has settled"),
    _at(7, 24, "duty", "driving"),
    Say("At the orchard. Before the first tie-down is touched: the questions."),
    _at(8, 15, "release", "--stopped", "--answer", "looked first=yes", "--answer",
        "nothing leans=yes", "--answer", "level=no",
        "--answer", "stands alone=yes", "--answer", "nobody near=yes", "--answer", "machine=yes",
        "--answer", "own release=yes", "--answer", "no bar=yes", ends_with=1),
    Say("Moved to level ground, wheels chocked, asked again."),
    _at(8, 24, "release", "--all-yes", "--holding", "A", "--place", "the orchard"),
    Say("The sprayer is off: what it braced is braced by nothing now, and the rest is judged."),
    _at(8, 41, "deliver", "A", "--odometer", "84397", ends_with=1),
    _at(8, 47, "tie-down", "add", "--gear", "S-1", "--holds", "LIME-1", "--from", "L8", "--to",
        "R8", *_OVER_PALLET, "--id", "T8"),
    _then("judge", "--unsettled"),
    _at(8, 55, "check", "--all-fine", "--odometer", "84397"),
    Say("The next stop is planned: does a limit come before it? 42 miles on there is a lay-by."),
    _then("stops", "add", "a lay-by before the road works", "--odometer", "+42"),
    _then("duty", "driving"),
    Say("Road works, and nowhere to stop off the road. The check comes late, and says why."),
    _at(10, 0, "duty", "on duty", "--place", "a lay-by past the road works"),
    _at(10, 2, "odometer", "84455", ends_with=1),
    _then("due", ends_with=1),
    _at(10, 9, "check", "--all-fine", "--odometer", "84455", "--reason",
        "road works, nowhere to stop off the road before", ends_with=1),
    _then("duty", "driving"),
    Say("A reading goes wrong: two digits swapped. It is asked about, and nothing is recorded."),
    _at(10, 45, "duty", "on duty", "--place", "a lay-by to look at the map"),
    _then("odometer", "84845", ends_with=2),
    _then("odometer", "84484"),
    Say("It was 84,478. A correction follows the entry; the old one stays and shows."),
    _then("correct", "last", "odometer=84478 mi", "--reason", "the wrong line was read"),
    Say("Stopped and not checked: driving on says what is due, and is not refused."),
    _at(10, 49, "duty", "driving", ends_with=1),
    Say("At the garden builder's: questions, straps off in order, the lime off, trip closed."),
    _at(11, 2, "release", "--all-yes", "--stopped"),
    _at(11, 20, "deliver", "--all", "--odometer", "84489"),
    _at(11, 31, "close", "--all-back"),
)  # fmt: skip

_AFTERNOON = (
    Say("After lunch: two bundles of fence posts, side by side, two straps over both."),
    _at(12, 30, "trip", "new", "--label", "posts", "--vehicle", "flatbed", "--from", "the yard",
        "--to", "a garden builder"),
    _then("article", "add", "bundle of fence posts", *_POSTS, "--id", "POSTS", "--count", "2"),
    _then("article", "change", "POSTS-2", "--at", "1 ft, right 2 ft"),
    _then("tie-down", "add", "--gear", "S-1", "--holds", "POSTS-1", "--holds", "POSTS-2",
          "--from", "L1", "--to", "R1", *_OVER_PALLET),
    _then("tie-down", "add", "--gear", "S-2", "--holds", "POSTS-1", "--holds", "POSTS-2",
          "--from", "L2", "--to", "R2", *_OVER_PALLET),
    _then("judge", "--unsettled"),
    _at(12, 45, "depart", "--odometer", "84489", "--next-stop", "the weigh station, mile 30"),
    _at(13, 5, "duty", "on duty"),
    _then("event", "hard braking", "--at", "13:01", "--note", "a deer on the road"),
    _then("due"),
    _at(13, 9, "check", "--fine", "T1", "--damaged", "T2", "--odometer", "84505",
        "--note", "T2 cut by a nail in the side rail", ends_with=1),
    Say("Other gear in its place: the new strap on and tensioned first, then the cut one off."),
    _at(13, 12, "replace", "T2", "--with", "S-7", "--new-on", "--old-off", "--cause",
        "cut by a nail in the side rail; the nail is out", "--kept", "the side box"),
    _then("duty", "driving"),
    _at(13, 40, "release", "--all-yes", "--stopped"),
    _at(13, 52, "deliver", "--all", "--odometer", "84529"),
    _then("close", "--all-back"),
    Say("The yard hand takes a ride-on mower and a small chipper on the tilt-bed trailer."),
    _at(14, 10, "trip", "new", "--label", "mower", "--vehicle", "light truck and tilt-bed",
        "--what", "ride-on mower", "--mass", "620 lb", "--basis", "stated", "--length", "6 ft",
        "--width", "4 ft", "--height", "2 ft 6 in", "--at", "6 in, centre",
        "--commodity", "machine", "--section", "general", "--blocked", "forward=nothing",
        "--no-sharp-edges", "--stands", "--strap", "W-1:L1:R1", "--strap", "W-2:L2:R2"),
    _then("article", "change", "A", "--does-not-roll", "--not-contained",
          "--reason", "parking brake on, wheels chocked in a cradle"),
    _then("article", "add", "small chipper", "--mass", "1900 lb", "--basis", "stated", "--length",
          "9 ft", "--width", "5 ft", "--height", "5 ft", "--at", "7 ft, centre",
          "--commodity", "machine", "--section", "general", "--blocked",
          "forward=nothing", "--no-sharp-edges", "--does-not-roll", "--not-contained", "--stands"),
    _then("tie-down", "add", "--gear", "C-1", "--holds", "B", "--path", "direct", "--from", "L3",
          "--to", "the tow eye", "--touches", "7 ft, centre, 18 in", *_OVER_PALLET),
    _then("tie-down", "add", "--gear", "C-2", "--holds", "B", "--path", "direct", "--from", "R4",
          "--to", "the axle lug", "--touches", "13 ft, right 2 ft, 18 in", *_OVER_PALLET),
    _at(14, 25, "--as", "yard-hand", "loaded", "--looked-over", "--first-time"),
    Say("The yard hand has never carried a chipper: the owner looks too."),
    _then("second-look", "--how", "on the spot", "--as-planned"),
    _then("judge", "--unsettled"),
    _then("--as", "yard-hand", "depart", "--driver", "yard-hand", "--odometer", "31207",
          "--next-stop", "the bridge, mile 20"),
    _at(14, 50, "--as", "yard-hand", "check", "--stopped", "--all-fine", "--odometer", "31226"),
    _then("--as", "yard-hand", "duty", "driving"),
    _at(15, 20, "--as", "yard-hand", "release", "--all-yes", "--stopped"),
    _at(15, 34, "--as", "yard-hand", "deliver", "--all", "--odometer", "31244"),
    _then("--as", "yard-hand", "close", "--missing", "W-2", "--note", "left on the mower"),
    Say("Tomorrow has the same posts: planned like today's trip, tied with what is in the box."),
    _at(16, 0, "trip", "new", "--label", "tomorrow", "--like", "posts"),
)  # fmt: skip

_HANDING_OVER = (
    Say("The evening: what was done, and the file that shows it."),
    _at(16, 5, "trip", "list"),
    _then("trip", "show", "orchard"),
    _then("export", "--trip", "orchard", "--to", "DEMO/orchard"),
    _then("verify", "DEMO/orchard/trip-orchard-bundle.zip"),
    _then("export", "--all-trips", "--to", "DEMO/whole-store"),
    _then("backup", "DEMO/backup.sqlite3"),
    _then("entries", "--check"),
)

DAY: tuple[Say | Step, ...] = (
    *_SETTING_UP,
    *_PLANNING,
    *_ROLLING,
    *_AFTERNOON,
    *_HANDING_OVER,
)
