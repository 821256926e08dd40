"""The worksheet: facts that a certification of this copy asks for, and blanks for who certifies.

The US Federal Rules of Evidence, 902(13) (a record made by an electronic process that gives
accurate results) and 902(14) (data copied from a device and identified by a digital process), ask
for the certificate of a qualified person, with facts and no conclusions (read in commentaries that
quote the rules, not in the rules). We write facts down and sign nothing.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta, timezone

from exports.document import Block, Column, Document, Heading, Paragraph, Table
from triplog.wording import worksheet as words

_BLANK = "_" * 40


@dataclass(frozen=True, slots=True, kw_only=True)
class WorksheetFacts:
    """What the journal knows of how this copy came about.

    `heads`: for each device the number and hash of its last entry here, and how many are here.
    `ways`, `clocks`: how many entries came in each way (typed, imported, page, program) and by each
    clock source. `starts`: how many starts of machines; `steps`: clock steps recorded; `late`: how
    many entries were written down more than 15 minutes after what they tell; `ahead`: dated after
    they were written. `given`, `countersigned`, `stamped`: how often a head was given away, came
    back countersigned, was time-stamped. `code` None: no head was signed. `withheld`: private field
    to how many values; `destroyed`: how many values; `forks`: how often another history was met.
    """

    what: str
    program: str
    exporter: str
    export_hash: str
    heads: Mapping[str, Mapping[str, object]]
    ways: Mapping[str, int]
    clocks: Mapping[str, int]
    starts: int
    steps: int
    late: int
    ahead: int
    given: int
    countersigned: int
    stamped: int
    code: str | None
    signed_size: int | None
    withheld: Mapping[str, int]
    destroyed: int
    forks: int
    now: datetime
    offset_min: int
    invented: bool


def worksheet(facts: WorksheetFacts) -> Document:
    """The worksheet of an export."""
    made = facts.now.astimezone(timezone(timedelta(minutes=facts.offset_min)))
    return Document(
        title=f"Worksheet for a certification, {facts.what}",
        subtitle=f"made {made:%Y-%m-%d %H:%M %Z}; unsigned",
        language="en",
        blocks=(Paragraph(text=words.FIRST, style="caution"), *_blocks(facts)),
        footer=words.FOOTER,
        invented=facts.invented,
    )


def _blocks(facts: WorksheetFacts) -> Iterator[Block]:
    yield Heading(text="The process (902(13))")
    yield _table(
        (
            ("What it is for", words.PURPOSE),
            ("Program", f"triplog {facts.program}"),
            ("How an entry arises", words.ENTRY),
            ("What a person typed", words.TYPED),
            ("What was worked out", words.COMPUTED),
            ("Entries here, by how they came", words.counted(facts.ways)),
            ("Clocks", words.clock_text(facts.clocks, facts.starts, facts.steps)),
            ("Written down later", words.late_text(facts.late, facts.ahead)),
            ("Checks of itself", words.SELF_CHECK),
        )
    )
    yield Heading(text="The copy (902(14))")
    yield _table(
        (
            ("Copied", f"{facts.what}, by {facts.exporter}, entry {facts.export_hash}"),
            ("The files", words.FILES),
            ("The value for all of them", f"SHA-256 {_BLANK}{_BLANK}\n{words.SEAL}"),
            ("The source", words.SOURCE),
            *((f"Device {device}", words.head_text(head)) for device, head in facts.heads.items()),
            ("Signed head", words.code_text(facts.code, facts.signed_size)),
            ("Heads in other hands", words.hands(facts.given, facts.countersigned, facts.stamped)),
        )
    )
    yield Heading(text="What is not here, as far as is known")
    yield Paragraph(text=words.gaps(facts.withheld, facts.destroyed, facts.forks))
    yield Heading(text="For the person who certifies")
    yield _table(tuple((blank, _BLANK) for blank in words.BLANKS))
    yield Paragraph(text=words.FORM, style="small")


def _table(rows: tuple[tuple[str, str], ...]) -> Table:
    columns = (Column(title="Fact", weight=1.0), Column(title="As the log has it", weight=3.2))
    return Table(columns=columns, rows=rows)
