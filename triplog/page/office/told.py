"""What the office's lists tell, in words: who, from where to where, when; how they are sorted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from urllib.parse import urlencode

from triplog.desk.overview import Concern, Line
from triplog.desk.whereabouts import Person, Private, Whereabouts
from triplog.page.shown.languages import Words
from triplog.wording.due import Say, rule_text, state_text, title


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a list; `key` None: not sorted by; `is_down_first`: newest or most first."""

    title: str
    key: str | None = None
    is_down_first: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """The head of a column: the address that sorts by it, and how it is sorted now, if it is."""

    title: str
    address: str | None
    sorted: str | None


@dataclass(frozen=True, slots=True)
class Sort:
    """What a list is sorted by, and whether downwards."""

    key: str
    is_down: bool

    @property
    def word(self) -> str:
        """As an address says it: `-` in front where it goes down."""
        return f"{'-' if self.is_down else ''}{self.key}"


def sort_asked(word: str | None, columns: Sequence[Column], usual: Sort) -> Sort:
    """What an address asks to sort by; as usual where it asks for nothing there is."""
    key = (word or "").removeprefix("-")
    if key not in {one.key for one in columns if one.key is not None}:
        return usual
    return Sort(key, (word or "").startswith("-"))


def heads(columns: Sequence[Column], now: Sort, asked: Mapping[str, str]) -> list[Head]:
    """The heads of a list; `asked`: what it is filtered by, which sorting keeps."""
    found = []
    for one in columns:
        if one.key is None:
            found.append(Head(title=one.title, address=None, sorted=None))
            continue
        is_now = one.key == now.key
        then = Sort(one.key, not now.is_down if is_now else one.is_down_first)
        found.append(
            Head(
                title=one.title,
                address=f"?{urlencode({**asked, 'sort': then.word})}",
                sorted=("descending" if now.is_down else "ascending") if is_now else None,
            )
        )
    return found


def driver_lines(driver: Person | None, say: Say) -> tuple[str, ...]:
    """Who drives, by label and name, and how to reach them where that was told."""
    if driver is None:
        return (say("no driver yet"),)
    return (
        *named(driver, say),
        *_told(driver.reach, say("how to reach them can no longer be read")),
    )


def named(person: Person, say: Say) -> tuple[str, ...]:
    """A person by label, and by name where that was told."""
    return person.label, *_told(person.name, say("the name can no longer be read"))


def route_lines(where: Whereabouts, say: Say) -> tuple[str, ...]:
    """From where to where, each as far as it can be read."""
    places = (where.origin, where.destination)
    if not any(one.text for one in places):
        gone = any(one.was_told for one in places)
        return (say("can no longer be read") if gone else say("not told"),)
    return (
        say("from {place}").format(place=_place(where.origin, say)),
        say("to {place}").format(place=_place(where.destination, say)),
    )


def when(moment: str, offset_min: int, reader_offset_min: int, *, seconds: bool = False) -> str:
    """A recorded time, RFC 3339, in its own local time; with its zone where the reader's differs.

    A day stays as it is.
    """
    if len(moment) <= 10:
        return moment
    zone = timezone(timedelta(minutes=offset_min))
    local = datetime.fromisoformat(moment).astimezone(zone)
    pattern = "%Y-%m-%d %H:%M:%S" if seconds else "%Y-%m-%d %H:%M"
    return local.strftime(pattern if offset_min == reader_offset_min else f"{pattern} %Z")


def zone_text(offset_min: int) -> str:
    """A zone as UTC-06:00."""
    return str(timezone(timedelta(minutes=offset_min)))


def page_number(text: str) -> int:
    """The page an address asks for; the first where it asks for none there can be."""
    return int(text) if text.isdecimal() and 0 < len(text) < 7 and int(text) > 0 else 1


def _told(private: Private, gone: str) -> tuple[str, ...]:
    if private.text is not None:
        return (private.text,)
    return (gone,) if private.was_told else ()


def _place(place: Private, say: Say) -> str:
    if place.text is not None:
        return place.text
    return say("can no longer be read") if place.was_told else say("not told")


def line_text(line: Line, words: Words, *, with_duty: bool) -> str:
    """What is to be looked at, in words; `with_duty`: a check that is owed says who can stop."""
    say = words.say
    match line.concern:
        case Concern.LATE | Concern.DUE:
            check = line.check
            assert check is not None, "a check is owed"
            parts = [state_text(check, say), title(check, say), rule_text(check, say)]
            if with_duty:
                asked = say("driving; ask if and where they can stop")
                parts.append(asked if "driving" in line.duty or not line.duty else say(line.duty))
            return "; ".join(parts)
        case Concern.FOUND:
            found = f"{say(line.about)} {say(line.what)}"
            return f"{found}, {say('put right')}" if line.put_right else found
        case Concern.UNMET:
            not_met, not_known = line.numbers
            told = say("{not_met} not met, {not_known} not known")
            return told.format(not_met=not_met, not_known=not_known)
        case Concern.HELD:
            (count,) = line.numbers
            told = words.ngettext(
                "{count} hold, the trip is {state}", "{count} holds, the trip is {state}", count
            )
            return told.format(count=count, state=say(line.what))
        case Concern.GEAR:
            return line.what
