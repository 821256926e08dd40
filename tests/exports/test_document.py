"""A document that could not be set is refused when it is made."""

from collections.abc import Callable

import pytest

from exports.document import (
    Attachment,
    Column,
    Document,
    DocumentError,
    Heading,
    KeyValues,
    Paragraph,
    Picture,
    Table,
)

COLUMN = Column(title="rating", unit="lb", align="right")

REFUSED: dict[str, tuple[Callable[[], object], str]] = {
    "an empty heading": (lambda: Heading(text=" "), "text of a heading"),
    "an empty paragraph": (lambda: Paragraph(text=""), "text of a paragraph"),
    "a column without title": (lambda: Column(title=""), "title of a column"),
    "a column with an empty unit": (lambda: Column(title="mass", unit=""), "unit of the column"),
    "a column of no weight": (lambda: Column(title="mass", weight=0), "give one above 0"),
    "a table without columns": (lambda: Table(columns=(), rows=()), "at least one column"),
    "a row too short": (
        lambda: Table(columns=(COLUMN, COLUMN), rows=(("1", "2"), ("3",))),
        "Row 2 of a table has 1 cells for 2 columns",
    ),
    "no key figures": (lambda: KeyValues(pairs=()), "at least one figure"),
    "a key figure without value": (lambda: KeyValues(pairs=(("mass", ""),)), "'mass'"),
    "a picture that is no SVG": (lambda: Picture(svg="<p/>", alt="deck"), "is no SVG"),
    "a picture without words": (lambda: Picture(svg="<svg/>", alt=""), "stand for a picture"),
    "a picture of no height": (
        lambda: Picture(svg="<svg/>", alt="deck", height_mm=0),
        "give one above 0",
    ),
    "an attachment without media type": (
        lambda: Attachment(name="plan.toml", media_type="toml", data=b""),
        "one like text/csv",
    ),
    "a document without blocks": (
        lambda: Document(
            title="T", subtitle="", language="en", blocks=(), footer="", invented=False
        ),
        "no blocks",
    ),
}


@pytest.mark.parametrize("case", REFUSED.values(), ids=REFUSED.keys())
def test_what_cannot_be_set_is_refused(case: tuple[Callable[[], object], str]) -> None:
    make, words = case
    with pytest.raises(DocumentError, match=words):
        make()


def test_a_table_without_rows_is_a_table() -> None:
    assert Table(columns=(COLUMN,), rows=()).rows == ()
