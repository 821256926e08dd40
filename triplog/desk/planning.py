"""The plan of a trip: each change makes the next whole plan from the last."""

import copy
import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, cast

from triplog.checks import other_vehicle, vehicle_name
from triplog.desk.desk import Desk, present
from triplog.desk.finding_things import vehicle_named
from triplog.desk.gear import gear_table, out_of_use, usable_gear
from triplog.desk.refused import Refused
from triplog.desk.road import refuse_at_the_wheel
from triplog.desk.vehicles import stated_top_speed, vehicle_tables
from triplog.journal.derived import TieDownRow, TripRow
from triplog.journal.entries import Body, Draft, Entry
from triplog.journal.folding import InForce
from triplog.journal.things import Thing, thing_from
from triplog.journal.trip import OPEN_STATES, Trip, TripState
from triplog.securement.model import PlanRefused
from triplog.securement.plan_file import journal_document, new_plan, read_plan

Document = dict[str, Any]
_MOST_ALIKE = 200
_PLACE = re.compile(r"\b(article|gear|anchor|tie_down)\[(\d+)\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change of a plan: `edit` changes a copy of the document in place; `cause` names it."""

    cause: str
    edit: Callable[[Document], None]
    reason: str | None = None


def change_plan(desk: Desk, trip: Trip, change: Change) -> Entry:
    """Record the next revision of a trip's plan; Refused while somebody drives."""
    refuse_at_the_wheel(trip)
    with desk.writing() as writing:
        return desk.append(writing, plan_draft(desk, trip, change))


def plan_draft(desk: Desk, trip: Trip, change: Change) -> Draft:
    """The draft of the next revision; Refused where the changed plan cannot be one.

    Until departure the plan follows the vehicle's card, so that what was learnt of an anchor point
    since counts.
    """
    if trip.state not in OPEN_STATES:
        raise Refused(f"trip {trip.label} is {trip.state}; its plan is not changed any more")
    if trip.state is TripState.DELIVERED:
        raise Refused(
            f"everything on trip {trip.label} is delivered; close it, and open another for the next"
            " load: `triplog trip new`"
        )
    last = trip.plan
    before = cast(Document, trip.document or empty_document())
    document: Document = copy.deepcopy(before)
    if trip.departure is None:
        _follow_vehicle_card(desk, document)
    change.edit(document)
    _refuse_gear_out_of_use(desk, document, before)
    try:
        new_plan(document)
    except PlanRefused as problem:
        raise Refused(_with_ids(str(problem), document)) from problem
    return desk.draft(
        "plan_recorded",
        {
            "document": journal_document(document),
            "sources": _sources(desk, document, before, last),
            "number": 1 if last is None else cast(int, last.entry.body["number"]) + 1,
            "cause": change.cause,
            **present(top_speed=_top_speed(desk, trip, document)),
        },
        trip=trip.id,
        private={"reason": change.reason},
    )


def _top_speed(desk: Desk, trip: Trip, document: Document) -> str | None:
    """Of another vehicle taken on the road, where its card states it: it bounds the way driven."""
    other = trip.departure is not None and other_vehicle(trip.document or {}, document)
    return stated_top_speed(desk, vehicle_name(document)) if other else None


def combined(changes: list[Change]) -> Change:
    """Several changes as one: all of them make one revision, or none does."""

    def edit(document: Document) -> None:
        for change in changes:
            change.edit(document)

    return Change(cause=", ".join(change.cause for change in changes) or "first plan", edit=edit)


def empty_document(vehicle: Body | None = None) -> Document:
    """A plan document that holds no article yet."""
    return {"format": "triplog-plan/1", **(vehicle or {})}


def use_vehicle(desk: Desk, label: str | None) -> Change:
    """Plan on this vehicle; its card is copied into the plan."""
    vehicle = vehicle_named(desk, label)

    def edit(document: Document) -> None:
        document.update(copy.deepcopy(vehicle_tables(vehicle)))

    return Change(cause=f"vehicle {vehicle.label}", edit=edit)


def use_file(data: bytes, name: str) -> Change:
    """Take a plan file as the whole plan."""
    try:
        plan_file = read_plan(data, name)
    except PlanRefused as problem:
        raise Refused(str(problem)) from problem

    def edit(document: Document) -> None:
        document.clear()
        document.update(plan_file.document)

    return Change(cause=f"plan file {name}", edit=edit)


def add_article(*, article: Document, article_id: str | None, count: int) -> Change:
    """Put an article on the plan, or several alike: A, B ... or LIME-1, LIME-2 ..."""
    if not 0 < count <= _MOST_ALIKE:
        raise Refused(f"{count} articles at once cannot be right; at most {_MOST_ALIKE}")

    def edit(document: Document) -> None:
        articles = document.setdefault("article", [])
        taken = {one["id"] for one in articles}
        for number in range(1, count + 1):
            if article_id is None:
                name = next_letter(taken)
            else:
                name = article_id if count == 1 else f"{article_id}-{number}"
            taken.add(name)
            articles.append({"id": name, **article})

    return Change(cause="article added", edit=edit)


def change_article(article_id: str, article: Document) -> Change:
    """Change what is known of an article; facts and answers not given stay as they are."""

    def edit(document: Document) -> None:
        found = _in_plan(document, "article", article_id)
        kept = {name: found.get(name, {}) for name in ("facts", "answers") if name in article}
        found.update(article)
        found.update({name: {**kept[name], **article[name]} for name in kept})

    return Change(cause=f"article {article_id} changed", edit=edit)


def remove_article(article_id: str) -> Change:
    """Take an article off the plan, with the tie-downs that hold nothing else."""

    def edit(document: Document) -> None:
        _in_plan(document, "article", article_id)
        take_off(document, {article_id})

    return Change(cause=f"article {article_id} removed", edit=edit)


def add_tie_down(
    desk: Desk, trip: str, *, tie_down: Document, gear: str | None, tie_down_id: str | None
) -> Change:
    """Add a tie-down; its gear is copied from the card and must be fit and free.

    `trip` is the label of the trip whose plan it is.
    """
    thing = None if gear is None else usable_gear(desk, gear)
    if gear is not None:
        _refuse_gear_elsewhere(desk, trip, gear)

    def edit(document: Document) -> None:
        tie_downs = document.setdefault("tie_down", [])
        taken = {one["id"] for one in tie_downs}
        number = next(number for number in range(1, 10_000) if f"T{number}" not in taken)
        given: Document = {"id": tie_down_id or f"T{number}", **tie_down}
        if "holds" not in given:
            given["holds"] = [_only_article(document)]
        if thing is not None:
            _put_gear(document, gear_table(thing))
            given["gear"] = thing.label
        tie_downs.append(given)

    return Change(cause="tie-down added", edit=edit)


def change_tie_down(
    desk: Desk, trip: str, tie_down_id: str, *, tie_down: Document, gear: str | None
) -> Change:
    """Change a tie-down, or put other gear in its place."""
    thing = None if gear is None else usable_gear(desk, gear)
    if gear is not None:
        _refuse_gear_elsewhere(desk, trip, gear)

    def edit(document: Document) -> None:
        found = _in_plan(document, "tie_down", tie_down_id)
        found.update(tie_down)
        if thing is not None:
            _put_gear(document, gear_table(thing))
            found["gear"] = thing.label
        _drop_idle_gear(document)

    return Change(cause=f"tie-down {tie_down_id} changed", edit=edit)


def remove_tie_down(tie_down_id: str) -> Change:
    """Take a tie-down off the plan."""

    def edit(document: Document) -> None:
        found = _in_plan(document, "tie_down", tie_down_id)
        document["tie_down"].remove(found)
        _drop_idle_gear(document)

    return Change(cause=f"tie-down {tie_down_id} removed", edit=edit)


def looked_over() -> Change:
    """Say that all gear on the plan was looked at: no damage, no knots, where nobody said yet."""

    def edit(document: Document) -> None:
        for item in document.get("gear", []):
            item.setdefault("damage", [])
        for tie_down in document.get("tie_down", []):
            tie_down.setdefault("knots", False)

    return Change(cause="gear looked at: no damage, no knots", edit=edit)


def take_off(document: Document, article_ids: set[str]) -> None:
    """Take articles off a document, and the tie-downs and gear that then hold nothing."""
    document["article"] = [one for one in document["article"] if one["id"] not in article_ids]
    kept = []
    for tie_down in document.get("tie_down", []):
        tie_down["holds"] = [one for one in tie_down["holds"] if one not in article_ids]
        if tie_down["holds"]:
            kept.append(tie_down)
    document["tie_down"] = kept
    for article in document["article"]:
        _unblock(article, article_ids)
        if article.get("on", "deck") in article_ids:
            raise Refused(
                f"{article['id']} stands on {article['on']}; it comes off first, or say with"
                f" `triplog article change {article['id']} --on` what it stands on then"
            )
    _drop_idle_gear(document)


def _unblock(article: Document, gone: set[str]) -> None:
    """What was blocked by an article that is gone is blocked by nothing."""
    blocked = article.get("blocked", {})
    for direction, by in blocked.items():
        if by in gone:
            blocked[direction] = "nothing"


def next_letter(taken: set[str]) -> str:
    """The first free letter A, B ... Z, then A2, B2 ..."""
    letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
    for round_number in range(1, 100):
        for letter in letters:
            name = letter if round_number == 1 else f"{letter}{round_number}"
            if name not in taken:
                return name
    raise Refused("there are too many articles to name by letter; give --id")


def gear_in_use(desk: Desk) -> dict[str, str]:
    """The label of each piece of gear that an open trip's plan uses, with the trip's label."""
    from sqlmodel import col, select

    with desk.session() as session:
        rows = session.exec(
            select(TieDownRow.gear, TripRow.label)
            .join(TripRow, col(TripRow.id) == col(TieDownRow.trip))
            .where(
                col(TripRow.revision) == col(TieDownRow.revision),
                col(TripRow.is_open) == 1,
                col(TieDownRow.gear).is_not(None),
            )
        ).all()
    return {gear: label for gear, label in rows if gear is not None}


def _refuse_gear_elsewhere(desk: Desk, trip: str, gear: str) -> None:
    where = gear_in_use(desk).get(gear)
    if where is not None:
        place = "this plan" if where == trip else f"trip {where}"
        raise Refused(f"{gear} is on {place} already; take other gear, or take it off there first")


def gear_out_of_use(desk: Desk, trip: Trip) -> dict[str, str]:
    """The gear on a trip's plan that may not be used, by label, with why and since when."""
    labels = [one["id"] for one in cast(Document, trip.document or {}).get("gear", [])]
    things = {label: thing for label in labels if (thing := _thing(desk, "gear", label))}
    found = {label: out_of_use(desk, thing) for label, thing in things.items()}
    return {label: why for label, why in found.items() if why is not None}


def _refuse_gear_out_of_use(desk: Desk, document: Document, before: Document) -> None:
    """Refuse gear that comes newly onto the plan, by whatever way, and may not be used."""
    there = {one["id"] for one in before.get("gear", [])}
    for one in document.get("gear", []):
        if isinstance(one, dict) and one.get("id") not in there and _thing(desk, "gear", one["id"]):
            usable_gear(desk, one["id"])


def _put_gear(document: Document, table: Body) -> None:
    gear = document.setdefault("gear", [])
    gear[:] = [one for one in gear if one["id"] != table["id"]] + [table]


def _drop_idle_gear(document: Document) -> None:
    used = {one.get("gear") for one in document.get("tie_down", [])}
    used |= {one.get("mat") for one in document.get("article", [])}
    document["gear"] = [one for one in document.get("gear", []) if one["id"] in used]


def _in_plan(document: Document, table: str, wanted: str) -> Document:
    for one in document.get(table, []):
        if one["id"] == wanted:
            return cast(Document, one)
    noun = table.replace("_", "-")
    there = ", ".join(one["id"] for one in document.get(table, [])) or "none yet"
    raise Refused(f"there is no {noun} {wanted!r} on this plan; there is: {there}")


def _with_ids(sentence: str, document: Document) -> str:
    """A reader's sentence that calls a thing by its id, not by its place in the document."""

    def named(found: re.Match[str]) -> str:
        name = str(document[found[1]][int(found[2])]["id"]).strip()
        return f"{found[1].replace('_', '-')} {name}" if name else found[0]

    return _PLACE.sub(named, sentence)


def _only_article(document: Document) -> str:
    articles = document.get("article", [])
    if len(articles) == 1:
        return str(articles[0]["id"])
    there = ", ".join(one["id"] for one in articles) or "none yet"
    raise Refused(f"say with --holds which article the tie-down holds; there is: {there}")


def _follow_vehicle_card(desk: Desk, document: Document) -> None:
    """Copy the vehicle's card anew into a plan that was made from it."""
    label = document.get("vehicle", {}).get("name")
    card = _card(desk, "vehicle", label)
    if card is not None:
        document.update(copy.deepcopy(vehicle_tables(vehicle_named(desk, label))))


def _sources(desk: Desk, document: Document, before: Document, last: InForce | None) -> list[Body]:
    """The card entries that the plan's vehicle and gear were copied from, where there are cards.

    What stands as in the plan before was copied from what that plan names.
    """
    named = [] if last is None else cast(list[dict[str, str]], last.entry.body["sources"])
    known = {source["thing"]: source["entry"] for source in named}
    old_gear = {one["id"]: one for one in before.get("gear", [])}
    parts = [
        ("gear", one["id"], one == old_gear.get(one["id"])) for one in document.get("gear", [])
    ]
    vehicle = document.get("vehicle", {})
    same = (vehicle, document.get("anchor")) == (before.get("vehicle"), before.get("anchor"))
    parts.insert(0, ("vehicle", vehicle.get("name"), same))
    found: list[Body] = []
    for table, label, unchanged in parts:
        card = _card(desk, table, label)
        if card is not None:
            thing, newest = card
            found.append(
                {"thing": thing, "entry": known.get(thing, newest) if unchanged else newest}
            )
    return found


def _card(desk: Desk, table: str, label: str | None) -> tuple[str, str] | None:
    """The id of the thing of that label and its newest card; None: there is no card."""
    thing = _thing(desk, table, label)
    return None if thing is None else (thing.id, thing.card.entry.hash)


def _thing(desk: Desk, table: str, label: str | None) -> Thing | None:
    """The thing of that label; None: there is no card."""
    row = desk.store.raw.execute(f"SELECT id FROM {table} WHERE label = ?", (label,)).fetchone()
    if row is None:
        return None
    thing = thing_from(row[0], desk.store.thing_entries(row[0]))
    assert thing is not None, "a row without a card"
    return thing
