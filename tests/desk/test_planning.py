"""The plan of a trip: ids, copies of cards, where each was copied from, trips like earlier ones."""

from collections.abc import Callable
from typing import cast

import pytest

from tests.desk.seat import Seat
from triplog.desk.gear import add_gear, change_gear, set_standing
from triplog.desk.planning import (
    Change,
    Document,
    add_article,
    add_tie_down,
    change_article,
    change_plan,
    change_tie_down,
    gear_in_use,
    looked_over,
    next_letter,
    remove_article,
    remove_tie_down,
    use_file,
)
from triplog.desk.refused import Refused
from triplog.desk.trips import (
    Opening,
    like_change,
    new_trip_label,
    open_trip,
    rules_change,
    vehicle_change,
)
from triplog.desk.vehicles import add_anchor_row, change_anchor
from triplog.journal.entries import Body
from triplog.journal.things import Standing
from triplog.journal.trip import Trip
from triplog.securement.assess import assess
from triplog.securement.plan_read import plan_from_document

Sit = Callable[[str], Seat]


def change(seat: Seat, made: Change, trip: str = "T-1") -> Document:
    """Record a change; the plan document that follows."""
    change_plan(seat.desk, seat.trip_called(trip), made)
    return document(seat.trip_called(trip))


def document(trip: Trip) -> Document:
    """The plan in force."""
    return cast(Document, trip.document)


def ids(rows: list[Body]) -> list[object]:
    """Ids in their order."""
    return [row["id"] for row in rows]


def sources(seat: Seat) -> list[Body]:
    """Where the newest plan's parts were copied from."""
    return cast(list[Body], seat.last("plan_recorded").body["sources"])


def strap(seat: Seat, gear: str | None, tie_down_id: str | None = None, **more: object) -> Change:
    """A tie-down over the article."""
    return add_tie_down(
        seat.desk, "T-1", tie_down={"path": "over", **more}, gear=gear, tie_down_id=tie_down_id
    )


def test_articles_are_named_by_the_first_free_letter(sit: Sit) -> None:
    seat = sit("a trip planned")
    change(seat, add_article(article={"what": "crate"}, article_id="C", count=1))
    plan = change(seat, add_article(article={"what": "crate"}, article_id=None, count=3))
    assert ids(plan["article"]) == ["A", "C", "B", "D", "E"]


def test_after_z_letters_begin_anew_with_a_number() -> None:
    letters = set("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    assert next_letter(letters) == "A2"
    assert next_letter(letters | {"A2"}) == "B2"


def test_many_alike_are_numbered_on(sit: Sit) -> None:
    plan = change(
        sit("a trip planned"), add_article(article={"what": "bag"}, article_id="LIME", count=3)
    )
    assert ids(plan["article"]) == ["A", "LIME-1", "LIME-2", "LIME-3"]


def test_a_tie_down_takes_the_first_free_number(sit: Sit) -> None:
    seat = sit("a trip planned")
    change(seat, remove_tie_down("T1"))
    plan = change(seat, strap(seat, "S-3"))
    assert ids(plan["tie_down"]) == ["T2", "T1"]


def test_an_id_taken_already_is_refused(sit: Sit) -> None:
    seat = sit("a trip planned")
    with pytest.raises(Refused):
        change(seat, strap(seat, "S-3", "T1"))
    with pytest.raises(Refused):
        change(seat, add_article(article={"what": "crate"}, article_id="A", count=1))


def test_a_plan_keeps_the_gear_as_it_was_when_it_was_planned(sit: Sit) -> None:
    seat = sit("a trip planned")
    before = document(seat.trip)["gear"]
    change_gear(seat.desk, "S-1", item={"wll": "1000 lb"})
    assert document(seat.trip)["gear"] == before
    plan = change(seat, change_tie_down(seat.desk, "T-1", "T1", tie_down={}, gear="S-3"))
    assert {one["wll"] for one in plan["gear"]} == {"3335 lb"}


def test_a_plan_names_the_card_entries_it_was_copied_from(sit: Sit) -> None:
    seat = sit("a trip planned")
    cards = {entry.hash: entry.body["label"] for entry in seat.entries("gear_recorded")}
    cards |= {entry.hash: entry.body["label"] for entry in seat.entries("vehicle_recorded")}
    assert [cards[cast(str, one["entry"])] for one in sources(seat)] == ["flatbed", "S-1", "S-2"]
    newest_vehicle = seat.last("vehicle_recorded").hash
    assert sources(seat)[0]["entry"] == newest_vehicle


def test_gear_that_no_tie_down_uses_any_more_leaves_the_plan(sit: Sit) -> None:
    seat = sit("a trip planned")
    plan = change(seat, change_tie_down(seat.desk, "T-1", "T2", tie_down={}, gear="S-6"))
    assert ids(plan["gear"]) == ["S-1", "S-6"]
    plan = change(seat, remove_tie_down("T2"))
    assert ids(plan["gear"]) == ["S-1"]
    assert set(gear_in_use(seat.desk)) == {"S-1"}


def test_an_article_removed_takes_its_own_tie_downs_with_it(sit: Sit) -> None:
    seat = sit("a trip planned")
    change(seat, add_article(article={"what": "crate"}, article_id="B", count=1))
    change(seat, change_tie_down(seat.desk, "T-1", "T2", tie_down={"holds": ["A", "B"]}, gear=None))
    plan = change(seat, remove_article("A"))
    assert [(one["id"], one["holds"]) for one in plan["tie_down"]] == [("T2", ["B"])]


def test_each_change_makes_the_next_whole_plan_with_its_cause_and_reason(sit: Sit) -> None:
    seat = sit("a trip planned")
    numbers = [entry.body["number"] for entry in seat.entries("plan_recorded")]
    assert numbers == [1, 2, 3]
    made = change_article("A", {"mass": "5300 lb"})
    change(seat, Change(cause=made.cause, edit=made.edit, reason="weighed again"))
    entry = seat.last("plan_recorded")
    assert entry.body["number"] == 4
    assert entry.body["cause"] == "article A changed"
    assert seat.opened(entry) == {"reason": "weighed again"}


def test_what_cannot_be_a_plan_is_refused_by_the_things_own_name(sit: Sit) -> None:
    seat = sit("a trip planned")
    before = seat.count()
    with pytest.raises(Refused, match=r"^article A\.mass: "):
        change(seat, change_article("A", {"mass": "heavy"}))
    with pytest.raises(Refused, match=r"^tie-down T9\.from: "):
        change(seat, strap(seat, "S-3", "T9", **{"from": "L99"}))
    assert seat.count() == before


@pytest.mark.parametrize("standing", [Standing.SET_ASIDE, Standing.UNFIT])
def test_gear_set_aside_or_unfit_is_not_planned(standing: Standing, sit: Sit) -> None:
    seat = sit("a trip planned")
    set_standing(seat.desk, "S-3", standing, reason="a cut at the edge")
    with pytest.raises(Refused, match=rf"S-3 is {standing} since 2026-03-02 by owner \(a cut"):
        strap(seat, "S-3")


def test_gear_comes_back_into_stock_unless_it_is_unfit(sit: Sit) -> None:
    seat = sit("a truck and gear")
    set_standing(seat.desk, "S-3", Standing.SET_ASIDE, reason=None)
    assert seat.opened(seat.last("gear_standing_set")) == {"reason": "no reason given"}
    set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="looked at")
    set_standing(seat.desk, "S-3", Standing.UNFIT, reason="melted")
    with pytest.raises(Refused, match="stays out"):
        set_standing(seat.desk, "S-3", Standing.IN_STOCK, reason="needed")


@pytest.mark.parametrize(
    ("label", "count", "labels"),
    [
        ("W-1", 3, ["W-1", "W-2", "W-3"]),
        ("W-9", 2, ["W-9", "W-10"]),
        ("chain", 2, ["chain-1", "chain-2"]),
        ("chain", 1, ["chain"]),
    ],
)
def test_many_alike_are_labelled_on_from_the_first(
    label: str, count: int, labels: list[str], sit: Sit
) -> None:
    seat = sit("a journal just begun")
    added = add_gear(seat.desk, label=label, item={"kind": "chain"}, count=count)
    assert [entry.body["label"] for entry in added] == labels


def test_of_many_alike_none_is_added_where_one_label_is_taken(sit: Sit) -> None:
    seat = sit("a truck and gear")
    before = seat.count()
    with pytest.raises(Refused, match="'S-1' already"):
        add_gear(seat.desk, label="S-0", item={"kind": "chain"}, count=3)
    assert seat.count() == before


def test_a_trip_like_an_earlier_one_has_its_load_and_vehicle_and_no_tie_downs(sit: Sit) -> None:
    seat = sit("a trip planned")
    earlier = seat.trip
    label = new_trip_label(seat.desk)
    trip = open_trip(seat.desk, Opening(label=label, like=earlier), [like_change(earlier)])
    assert label == "T-2"
    assert seat.last("trip_opened").body["like"] == earlier.id
    made, source = document(trip), document(earlier)
    for name in ("vehicle", "anchor", "article"):
        assert made[name] == source[name]
    assert "tie_down" not in made
    assert "gear" not in made


def test_an_anchor_point_changed_later_leaves_the_plan_as_it_was(sit: Sit) -> None:
    seat = sit("a trip planned")
    before = document(seat.trip)["anchor"]
    change_anchor(seat.desk, "flatbed", "L2", fields={"wll": "100 lb"})
    assert document(seat.trip)["anchor"] == before
    plan = change(seat, vehicle_change(seat.desk, None)[0])
    assert next(one for one in plan["anchor"] if one["id"] == "L2")["wll"] == "100 lb"


def test_rows_of_anchor_points_run_on(sit: Sit) -> None:
    seat = sit("a truck and gear")
    entry = add_anchor_row(
        seat.desk,
        "flatbed",
        side="left",
        first="500 mm",
        every="1.5 m",
        count=2,
        fields={},
        across="1 m",
    )
    anchors = cast(list[Body], entry.body["anchors"])
    assert ids(anchors)[-2:] == ["L6", "L7"]
    assert anchors[-1]["at"] == ["2 m", "left 1 m"]


def test_a_plan_file_becomes_the_whole_plan(sit: Sit) -> None:
    seat = sit("a trip planned")
    text = b'format = "triplog-plan/1"\n[[article]]\nid = "X"\nmass = "90 kg"\n'
    plan = change(seat, use_file(text, "other.toml"))
    assert plan == {"format": "triplog-plan/1", "article": [{"id": "X", "mass": "90 kg"}]}
    assert sources(seat) == []
    assert seat.last("plan_recorded").body["cause"] == "plan file other.toml"


def test_looked_over_says_so_only_where_nobody_had_said_anything(sit: Sit) -> None:
    seat = sit("a trip planned")
    add_gear(seat.desk, label="W-1", item={"kind": "ratchet strap"})
    change(seat, strap(seat, "W-1"))
    change(seat, strap(seat, "S-4", knots=True))
    cut = [{"kind": "cut", "size": "3/16 in"}]

    def cut_found(document: Document) -> None:
        document["gear"][-1]["damage"] = cut

    change(seat, Change(cause="cut found", edit=cut_found))
    plan = change(seat, looked_over())
    damage = {one["id"]: one["damage"] for one in plan["gear"]}
    assert damage["W-1"] == []
    assert damage["S-4"] == cut
    assert [one["knots"] for one in plan["tie_down"]] == [False, False, False, True]


def test_a_trip_like_an_earlier_one_keeps_the_mat_its_load_stands_on(sit: Sit) -> None:
    seat = sit("a trip planned")
    plan = b"""{"format": "triplog-plan/1", "gear": [{"id": "M-1", "kind": "friction mat"}],
        "article": [{"id": "A", "mat": "M-1"}]}"""
    change(seat, use_file(plan, "plan.json"))
    trip = open_trip(seat.desk, Opening(label="T-2"), [like_change(seat.trip)])
    assert ids(document(trip)["gear"]) == ["M-1"]


def test_a_trip_is_judged_by_the_rule_sets_it_names(sit: Sit) -> None:
    seat = sit("a trip planned")
    planned = change(seat, rules_change(["us-393", "ca-nsc10", "nz-code"]))
    assert planned["rules"] == ["us-393", "ca-nsc10", "nz-code"]
    judged = {one.rule_set for one in assess(plan_from_document(planned))}
    assert {"us-393", "ca-nsc10", "nz-code"} <= judged
    with pytest.raises(Refused, match="there is no rule set"):
        change(seat, rules_change(["somewhere"]))
