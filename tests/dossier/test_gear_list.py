"""What stands on the gear inspection list."""

from datetime import UTC, datetime
from typing import Any

from exports.document import Document, Paragraph, Table
from triplog.dossier.gear_list import CSV_COLUMNS, ListFacts, csv_rows, inspection_list
from triplog.securement.model import GearKind

EMPTY = dict.fromkeys(
    ("width", "size", "grade", "length", "wll", "hold", "on_trip", "inspected_at", "inspect_by")
)


def _row(label: str, kind: str, **more: str) -> dict[str, Any]:
    return {"label": label, "kind": kind, "standing": "in stock", **EMPTY, **more}


def _listed(*rows: dict[str, Any]) -> Document:
    return inspection_list(
        rows,
        ListFacts(
            carrier=None,
            chosen="all gear",
            now=datetime(2026, 3, 2, 18, 0, tzinfo=UTC),
            offset_min=-360,
            invented=True,
        ),
    )


def _table(document: Document) -> Table:
    return next(block for block in document.blocks if isinstance(block, Table))


def _said(document: Document) -> str:
    return "\n".join(block.text for block in document.blocks if isinstance(block, Paragraph))


def test_a_row_a_piece_with_boxes_to_fill_and_what_is_known() -> None:
    day = {"inspected_at": "2026-03-02T05:30:00.000Z", "inspect_by": "2026-09-01"}
    document = _listed(_row("S-1", "ratchet strap", width="2 in", wll="3335 lb", **day))
    (row,) = _table(document).rows
    assert row[:3] == (
        "S-1\nratchet strap",
        "2 in\n3335 lb",
        "in stock\nseen 2026-03-01\ndue 2026-09-01",
    )
    assert row.count("☐") == 6
    assert document.invented


def test_a_missing_rating_and_a_piece_never_seen_say_so() -> None:
    (row,) = _table(_listed(_row("M-1", "friction mat"))).rows
    assert row[1] == "no rating marked"
    assert "seen never" in row[2]
    assert row.count("☐") == 5


def test_it_says_what_to_look_for_on_every_kind_there_is() -> None:
    document = _listed(*(_row(f"G-{kind}", kind.value) for kind in GearKind))
    said = _said(document)
    for kind in GearKind:
        assert f"{kind.value.capitalize()}: " in said
    assert "Chain: " not in _said(_listed(_row("S-1", "ratchet strap")))


def test_it_says_the_wraps_the_lifting_and_the_inspectors_line_as_that() -> None:
    """Webbing suppliers' sheets (second-hand): at least 2 wraps. Out-of-service: 3/8 in on 2 in."""
    said = _said(_listed(_row("S-1", "ratchet strap")))
    assert "At least 2 wraps" in said
    assert "not for lifting" in said
    assert "No limit for use" in said
    assert "3/8 in on 2 in webbing" in said


def test_the_csv_has_a_cell_for_each_of_its_columns() -> None:
    (row,) = csv_rows([_row("S-1", "ratchet strap", on_trip="T-1")], 0)
    assert len(row) == len(CSV_COLUMNS)
    assert dict(zip([one.name for one in CSV_COLUMNS], row, strict=True))["on_trip"] == "T-1"
