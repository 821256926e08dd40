"""The kinds of entry there are: facts in the past tense, each with its fields and version.

A kind is never removed and its version never reused: entries of every version are read forever.
`required` and `optional` are the fields of the body, `private` those kept as commitments; `thing`
is the body field that names the thing (gear, vehicle, person) the entry is about.
"""

from dataclasses import dataclass, field

from triplog.journal.entries import Draft, Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What an entry of this kind may hold."""

    name: str
    version: int = 1
    of_trip: bool = False
    required: frozenset[str] = field(default_factory=frozenset)
    optional: frozenset[str] = field(default_factory=frozenset)
    private: frozenset[str] = field(default_factory=frozenset)
    thing: str | None = None


def _kind(
    name: str,
    required: str = "",
    optional: str = "",
    *,
    private: str = "",
    trip: bool = False,
    thing: str | None = None,
    version: int = 1,
) -> Kind:
    return Kind(
        name=name,
        version=version,
        of_trip=trip,
        required=frozenset(required.split()),
        optional=frozenset(optional.split()),
        private=frozenset(private.split()),
        thing=thing,
    )


_TIME = " time_doubt time_first"
"""What may be said of an entry's own time: why it cannot be right, and what was typed first."""
_INCIDENT = (
    " load_moved load_fell damage injured killed hazardous_release towed police_called"
    " insurer_called driver told time_told"
)
"""What may be told of an incident; a field that is absent is unknown."""

_ALL = (
    # The store itself.
    _kind("store_begun", "format invented program"),
    _kind("store_restored", "from_heads told_heads program", "behind"),
    _kind("journal_taken_in", "source received", "openings photos", private="name"),
    _kind("fork_found", "of seq held other", "source"),
    _kind("clock_stepped", "seconds", "boot_changed"),
    _kind("key_recorded", "key why", "before", private="note"),
    _kind("checkpoint_signed", "size root why signed_note"),
    _kind("checkpoint_withheld", "size root why held_size held_root"),
    _kind("head_given", "head where", private="receiver note"),
    _kind("head_countersigned", "signed_note"),
    _kind("countersignature_taken", "signed_note key"),
    _kind("time_stamp_asked", "head imprint nonce"),
    _kind(
        "time_stamp_taken",
        "head imprint token gen_time policy serial delay_s signature",
        "authority",
    ),
    _kind(
        "exported",
        "what form trip_of files trip_heads",
        "withheld beside",
        private="note reason",
    ),
    _kind("backed_up", "heads", private="note"),
    _kind("browser_paired", "browser label roles person"),
    _kind("browser_unpaired", "browser why"),
    _kind("entrance_refused", "what count since"),
    # The hub: in its own log what it received, in a device's with whom it is paired.
    _kind("hub_paired", "carrier key office opened", private="address"),
    _kind("device_paired", "device key label"),
    _kind("device_unpaired", "device"),
    _kind("head_received", "of seq hash new brought_by clock_ahead_ms", "signed_note key_changed"),
    _kind("auditor_looked", "browser label about", "trip_of"),
    # The office.
    _kind("carrier_recorded", "units paper", "office_margin positions_kept", private="name"),
    _kind("company_rules_recorded", "rules", private="note"),
    _kind("retention_recorded", "periods", private="note"),
    _kind("person_recorded", "id label roles", private="name reach", thing="id"),
    _kind("vehicle_recorded", "id label document anchors", "top_speed", private="note", thing="id"),
    _kind("gear_recorded", "id label item", "inspect_by", private="note", thing="id"),
    _kind("gear_standing_set", "gear standing", private="reason", thing="gear"),
    _kind("stock_list_read", "digest rows not_understood", private="name"),
    _kind("inspection_list_read", "digest rows not_looked_at not_understood", private="name"),
    _kind(
        "gear_inspected",
        "gear damage answer limits",
        "used_in allowed inspect_by",
        private="note reason",
        thing="gear",
    ),
    # A hold is on a trip, the entry's own, or on a piece of gear. Of version 1 there were only
    # those on gear, and lifting said no `hold`: it ended whatever stood.
    _kind("hold_placed", "", "gear incident", private="reason", thing="gear", version=2),
    _kind("hold_lifted", "", "gear hold", private="reason", thing="gear", version=2),
    _kind("deletion_refused", "what why", "about holds until", private="reason", thing="about"),
    _kind(
        "openings_destroyed",
        "openings why",
        "about attachments until period",
        private="reason note",
        thing="about",
    ),
    # A trip.
    _kind("trip_opened", "id label", "like papers", private="origin destination note", trip=True),
    _kind(
        "plan_recorded",
        "document sources number",
        "cause top_speed",
        private="reason",
        trip=True,
    ),
    _kind("unloading_planned", "stops revision", private="note", trip=True),
    _kind("plan_judged", "revision findings", trip=True),
    _kind("loading_recorded", "revision", "looked_over carried_before", private="note", trip=True),
    _kind(
        "departed",
        "revision rules driver odometer top_speed judgement unmet",
        "vehicle next_stop_odometer carried_before",
        private="reason next_stop",
        trip=True,
    ),
    _kind("rules_added", "through rules", private="note", trip=True),
    _kind(
        "odometer_read",
        "odometer",
        "vehicle asked typed_first replaced import row below above" + _TIME,
        private="note",
        trip=True,
    ),
    _kind(
        "duty_changed",
        "driver status",
        "unrevised" + _TIME,
        private="place note reason",
        trip=True,
    ),
    _kind("duty_imported", "driver status import row", "made_by", trip=True),
    _kind(
        "readings_imported",
        "source feed digest bytes counts",
        "way gaps aside driver unit receiver_ahead_ms",
        private="name report positions",
        trip=True,
    ),
    _kind("second_look_recorded", "revision by_whom how", "seen", private="place note", trip=True),
    _kind(
        "gear_replaced",
        "tie_down in order cause_found revision",
        "out",
        private="reason place note",
        trip=True,
    ),
    _kind("stop_planned", "", "at_odometer after", private="place note", trip=True),
    _kind("event_reported", "what", "tie_downs moved" + _TIME, private="note place", trip=True),
    _kind(
        "photo_added",
        "digest file bytes media_type width_px height_px shows taken_time_source",
        "taken_at taken_offset_min difference_s difference_offset_min original_digest"
        " original_bytes original_file taken_out tie_downs gear",
        private="name note place",
        trip=True,
    ),
    _kind(
        "prompt_raised",
        "due rule since stage channel number state basis",
        "value limit late_by due_at",
        trip=True,
    ),
    _kind("prompt_outcome", "raised outcomes", "repeated", trip=True),
    _kind(
        "office_message_queued",
        "due rule since state message",
        "late_by due_at last_odometer last_odometer_at",
        trip=True,
    ),
    _kind("office_message_tried", "queued by came", "repeated", trip=True),
    _kind("prompt_heard", "due", private="note", trip=True),
    _kind(
        "check_completed",
        "lines looks closes revision",
        "observed_loss odometer asked typed_first replaced late rejudged" + _TIME,
        private="place note reason",
        trip=True,
    ),
    _kind(
        "check_left_open",
        "lines looks revision",
        "odometer asked typed_first replaced" + _TIME,
        private="place note",
        trip=True,
    ),
    _kind("late_reason_given", "due", private="reason", trip=True),
    _kind("cause_told", "replacement tie_down", private="reason", trip=True),
    _kind(
        "checks_exempted",
        "grounds",
        "seal ordered_at driver_has_key",
        private="ordered_by reason loaded_by",
        trip=True,
    ),
    _kind(
        "handed_over",
        "from to trip_heads",
        "odometer asked typed_first replaced looked_together",
        private="open_points place note",
        trip=True,
    ),
    _kind(
        "article_delivered",
        "articles revision",
        "odometer asked typed_first replaced",
        private="place note",
        trip=True,
    ),
    _kind("released", "answers ready", private="place note", trip=True),
    _kind(
        "trip_closed",
        "release_done gear_back trip_heads",
        "missing not_counted",
        private="note",
        trip=True,
    ),
    _kind("incident_reported", "", _INCIDENT, private="place names note", trip=True),
    _kind("incident_added", "incident", _INCIDENT, private="place names note", trip=True),
    _kind("piece_kept", "piece state", "tie_down gear", private="place note", trip=True),
    _kind("trip_withdrawn", "", private="reason", trip=True),
    # Any entry.
    _kind("entry_withdrawn", "", private="reason"),
)
KINDS: dict[str, Kind] = {kind.name: kind for kind in _ALL}
CORRECTION_FIELDS = frozenset({"correction_reason"})


def thing_of(kind_name: str, body: dict[str, object]) -> str | None:
    """The id of the gear, vehicle or person an entry is about; None for other entries."""
    kind = KINDS.get(kind_name)
    named = body.get(kind.thing) if kind is not None and kind.thing else None
    return named if isinstance(named, str) else None


def assert_fits_kind(draft: Draft) -> Kind:
    """The draft's kind; AssertionError where body or private fields are not those of the kind."""
    kind = KINDS[draft.kind]
    fields = draft.body.keys()
    assert kind.required <= fields, f"{draft.kind} lacks {sorted(kind.required - fields)}"
    unknown = fields - kind.required - kind.optional
    assert not unknown, f"{draft.kind} has no field {sorted(unknown)}"
    private = draft.private.keys() - kind.private
    if draft.follows is not None:
        private -= CORRECTION_FIELDS
    assert not private, f"{draft.kind} has no private field {sorted(private)}"
    assert draft.follows or draft.kind != "entry_withdrawn", "a withdrawal names its entry"
    assert draft.trip is not None or not kind.of_trip, f"{draft.kind} belongs to a trip"
    return kind


def assert_follows(draft: Draft, followed: Entry) -> None:
    """AssertionError unless a draft may follow that entry: its own kind, or taking it back."""
    assert draft.kind in (followed.kind, "entry_withdrawn"), f"{draft.kind} follows {followed.kind}"
    assert draft.trip == followed.trip, "an entry and what follows it are of one trip"
