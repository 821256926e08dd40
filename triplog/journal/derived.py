"""The derived tables: relational copies of what the journal says, for lists and for anyone with a
SQLite browser. They can be dropped and rebuilt; the journal cannot.

Table classes validate nothing, so rows are built by `derived_rows` from folded entries only, and
CHECK constraints stand behind them. Times are RFC 3339 in UTC with the local offset in minutes
beside; a quantity is the text as typed with its SI value beside. Private fields are never copied
here: they are read through their openings. A row with a `time_doubt` was recorded with a time that
cannot be right; it counts for nothing.
"""

from sqlalchemy import CheckConstraint, Index, text
from sqlmodel import Field, SQLModel

from triplog.journal.trip import TripState


def _one_of(column: str, *words: str) -> CheckConstraint:
    listed = ", ".join(f"'{word}'" for word in words)
    return CheckConstraint(f"{column} IN ({listed})")


# The rows of a trip lie side by side, under their key and nowhere else: few pages for an entry.
_CLUSTERED = {"sqlite_with_rowid": False}


class _Row(SQLModel):
    """Whoever records waits for these classes; what would validate their rows is not built."""

    model_config = {"defer_build": True}


class TripRow(_Row, table=True):
    """A trip as it stands; `not_met`, `not_known`: how many findings, None: not judged.

    `holds`: how many evidence holds it is under. `deleted_at`, `deleted_by`: when and by whom its
    private values were deleted under retention.
    """

    __tablename__ = "trip"
    __table_args__ = (
        _one_of("state", *TripState),
        CheckConstraint("is_open IN (0, 1)"),
        Index("trip_ended", "ended_at", sqlite_where=text("ended_at IS NOT NULL")),
        Index("trip_held", "holds", sqlite_where=text("holds > 0")),
        _CLUSTERED,
    )
    id: str = Field(primary_key=True)
    label: str = Field(index=True)
    state: str
    is_open: int = Field(index=True)
    opened_at: str
    departed_at: str | None
    ended_at: str | None
    driver: str | None
    vehicle: str | None
    revision: str | None
    revision_number: int | None
    not_met: int | None
    not_known: int | None
    duty: str | None
    holds: int
    deleted_at: str | None
    deleted_by: str | None


class PlanRow(_Row, table=True):
    """A plan revision."""

    __tablename__ = "plan_revision"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    number: int
    cause: str | None
    event_time: str
    event_offset_min: int
    entry_time: str
    by: str
    articles: int
    tie_downs: int


class ArticleRow(_Row, table=True):
    """An article of cargo in a plan revision."""

    __tablename__ = "article"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    revision: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    what: str | None
    commodity: str | None
    mass: str | None
    mass_basis: str | None
    mass_kg: float | None
    length: str | None
    length_m: float | None


class TieDownRow(_Row, table=True):
    """A tie-down in a plan revision."""

    __tablename__ = "tie_down"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    revision: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    holds: str
    path: str | None
    gear: str | None = Field(index=True)
    from_anchor: str | None
    to_anchor: str | None


class FindingRow(_Row, table=True):
    """A finding as it was judged; `number` is its place in the judgement."""

    __tablename__ = "finding"
    __table_args__ = (
        _one_of("verdict", "meets", "does not meet", "cannot tell", "does not apply"),
        _CLUSTERED,
    )
    trip: str = Field(primary_key=True)
    judgement: str = Field(primary_key=True)
    number: int = Field(primary_key=True)
    revision: str
    rule: str
    about: str
    verdict: str
    scope: str
    clause: str
    required: str | None
    required_unit: str | None
    provided: str | None
    provided_unit: str | None


class ReadingRow(_Row, table=True):
    """An odometer reading, from whatever entry it was given in; `via`: typed, imported ..."""

    __tablename__ = "odometer_reading"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    odometer: str
    odometer_mm: int
    event_time: str
    event_offset_min: int
    entry_time: str
    time_doubt: str | None
    by: str
    via: str


class DutyRow(_Row, table=True):
    """A change of a driver's duty status."""

    __tablename__ = "duty_change"
    __table_args__ = (_one_of("status", "off duty", "sleeper", "driving", "on duty"), _CLUSTERED)
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    driver: str
    status: str
    event_time: str
    event_offset_min: int
    entry_time: str
    time_doubt: str | None
    by: str


class CheckRow(_Row, table=True):
    """A check; `complete` 0: some tie-downs were not looked at, and it resets nothing."""

    __tablename__ = "check_made"
    __table_args__ = (CheckConstraint("complete IN (0, 1)"), _CLUSTERED)
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    complete: int
    odometer: str | None
    closes: str
    late: str | None
    event_time: str
    event_offset_min: int
    entry_time: str
    time_doubt: str | None
    by: str


class CheckLineRow(_Row, table=True):
    """What was found on one tie-down in a check."""

    __tablename__ = "check_line"
    __table_args__ = (
        _one_of("found", "not looked at", "fine", "slack, tightened", "damaged", "moved"),
        _CLUSTERED,
    )
    trip: str = Field(primary_key=True)
    check: str = Field(primary_key=True)
    tie_down: str = Field(primary_key=True)
    found: str
    notches: int | None
    moved: str | None


class CheckLookRow(_Row, table=True):
    """What else was looked at in a check; `found`, `put_right` None: nothing was told of it."""

    __tablename__ = "check_look"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    check: str = Field(primary_key=True)
    item: str = Field(primary_key=True)
    looked_at: int
    found: str | None
    put_right: int | None


class PromptRow(_Row, table=True):
    """A prompt that was raised and what became of the attempt."""

    __tablename__ = "prompt"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    due: str
    rule: str
    stage: str
    channel: str
    number: int
    repeated: int
    event_time: str
    event_offset_min: int
    entry_time: str
    outcome: str | None


class TripEventRow(_Row, table=True):
    """Anything else that happened on a trip: loading, departure, events, deliveries, release."""

    __tablename__ = "trip_event"
    __table_args__ = _CLUSTERED
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    kind: str
    what: str
    event_time: str
    event_offset_min: int
    entry_time: str
    time_doubt: str | None
    by: str


class PhotoRow(_Row, table=True):
    """A photo; `taken_at`: as its camera states it, and how far before the entry that is.

    `taken_offset_min` None: no time zone is stated; `difference_s` then counts for a camera on the
    local time of `difference_offset_min`.
    """

    __tablename__ = "photo"
    __table_args__ = (
        _one_of("taken_time_source", "exif with offset", "exif without offset", "none"),
        _CLUSTERED,
    )
    trip: str = Field(primary_key=True)
    entry: str = Field(primary_key=True)
    digest: str
    file: str
    bytes: int
    media_type: str
    width_px: int
    height_px: int
    shows: str
    tie_downs: str | None
    gear: str | None
    taken_at: str | None
    taken_offset_min: int | None
    taken_time_source: str
    difference_s: int | None
    difference_offset_min: int | None
    original_digest: str | None
    taken_out: str | None
    event_time: str
    event_offset_min: int
    entry_time: str
    by: str


class GearRow(_Row, table=True):
    """A piece of gear as it stands; `is_held` 1: under an evidence hold."""

    __tablename__ = "gear"
    __table_args__ = (
        _one_of("standing", "in stock", "set aside", "unfit"),
        CheckConstraint("is_held IN (0, 1)"),
        _CLUSTERED,
    )
    id: str = Field(primary_key=True)
    label: str = Field(index=True)
    kind: str
    standing: str
    width: str | None
    size: str | None
    grade: str | None
    length: str | None
    wll: str | None
    wll_n: float | None
    mass: str | None
    is_held: int
    inspected_at: str | None
    inspect_by: str | None


class VehicleRow(_Row, table=True):
    """A vehicle as its card stands."""

    __tablename__ = "vehicle"
    __table_args__ = _CLUSTERED
    id: str = Field(primary_key=True)
    label: str = Field(index=True)
    gross_mass: str | None
    use: str | None
    deck_length: str | None
    deck_width: str | None
    top_speed: str | None
    anchors: int


class AnchorRow(_Row, table=True):
    """An anchor point of a vehicle."""

    __tablename__ = "anchor"
    __table_args__ = _CLUSTERED
    vehicle: str = Field(primary_key=True)
    id: str = Field(primary_key=True)
    kind: str | None
    from_front: str | None
    across: str | None
    wll: str | None


class PersonRow(_Row, table=True):
    """A person, by label and role; the name is private and is not here."""

    __tablename__ = "person"
    __table_args__ = _CLUSTERED
    id: str = Field(primary_key=True)
    label: str = Field(index=True)
    roles: str


class DueRow(_Row, table=True):
    """A counter of an open trip, as `checks` wrote it; read by `triplog due`.

    Distances in millimetres, driving time in milliseconds; what each column means is told at
    `scheduler.counter.Counter`. `due_at`: since when a check is due, or when it will be if the
    driving goes on as now; None: not known, it does not go on, or the check is lifted. Of many open
    trips the first due is found by its index.
    """

    __tablename__ = "due"
    __table_args__ = (
        Index("due_first", "due_at", sqlite_where=text("due_at IS NOT NULL")),
        _CLUSTERED,
    )
    trip: str = Field(primary_key=True)
    due_key: str = Field(primary_key=True)
    rule_id: str
    from_key: str
    kind: str
    legal_force: str
    source: str
    clause: str
    printed_limit: str
    printed_unit: str
    counted_since: str
    as_of: str
    limit: int | None
    known: int
    estimate: int | None
    rate_per_h: int | None
    basis: str
    goes_on: int | None
    top_speed_mm_per_h: int | None
    coming_up_since: str | None
    due_since: str | None
    resumed_at: str | None
    limit_at_odometer_mm: int | None
    stop_number: int
    reasons: str
    what: str | None
    exempt_reason: str | None
    odometer_unit: str | None
    due_at: str | None
