"""A document as plain text: everything it says is there, in lines that fit, and nothing else."""

from hypothesis import given
from hypothesis import strategies as st

from exports.document import (
    Attachment,
    Column,
    Document,
    Heading,
    KeyValues,
    Paragraph,
    Photo,
    Photos,
    Picture,
    Table,
)
from exports.text_sheet import WIDTH, text_of


def document(*blocks: object, invented: bool = False) -> Document:
    return Document(
        title="A sheet",
        subtitle="made today",
        language="en",
        blocks=blocks,  # type: ignore[arg-type]
        footer="the log holds",
        invented=invented,
    )


def test_each_kind_of_block_is_told() -> None:
    table = Table(
        columns=(Column(title="What", weight=1), Column(title="Mass", unit="lb", align="right")),
        rows=(("pump", "5200"), ("pallet of bagged lime", "900")),
    )
    text = text_of(
        document(
            Heading(text="Part"),
            Heading(text="Part of it", level=2),
            Paragraph(text="First line\nsecond line"),
            Paragraph(text="Mind this", style="caution"),
            KeyValues(pairs=(("Gross", "26000 lb"),)),
            table,
            Picture(svg="<svg/>", alt="the deck from above"),
            Photos(
                photos=(
                    Photo(jpeg=b"x", width_px=4, height_px=3, lines=("1  rear", "no time stated")),
                    Photo(
                        jpeg=None, width_px=4, height_px=3, lines=("2  tag",), missing="not kept"
                    ),
                )
            ),
            Attachment(name="plan.json", media_type="application/json", data=b""),
        )
    )
    assert text == (
        "A sheet\n=======\nmade today\n\nPart\n----\n\nPart of it\n..........\n\n"
        "First line\nsecond line\n\n| Mind this\n\nGross: 26000 lb\n\n"
        "What                   Mass, lb\n---------------------  --------\n"
        "pump                   5200\npallet of bagged lime  900\n\n"
        "[picture: the deck from above]\n\n"
        "[photo: 1  rear; no time stated]\n[photo: 2  tag; not kept]\n\n"
        # SHA-256 of nothing, FIPS 180-4 (as evidence collections print it).
        "attached: plan.json, SHA-256 "
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\n\n"
        f"{'-' * WIDTH}\nthe log holds\n"
    )


def test_what_is_invented_says_so() -> None:
    assert "INVENTED DATA" in text_of(document(Paragraph(text="x"), invented=True))
    assert "INVENTED" not in text_of(document(Paragraph(text="x")))


def test_a_control_character_stands_as_its_code() -> None:
    assert "red\\u001b[31m" in text_of(document(Paragraph(text="red\x1b[31m")))


@given(st.lists(st.tuples(*[st.text(max_size=300)] * 3), max_size=5))
def test_no_line_of_a_table_is_wider_than_a_page(rows: list[tuple[str, str, str]]) -> None:
    table = Table(
        columns=(Column(title="A", weight=3), Column(title="B"), Column(title="C", weight=6)),
        rows=tuple(rows),
    )
    lines = text_of(document(table)).splitlines()
    assert max(map(len, lines)) <= WIDTH


@given(st.text(alphabet=st.characters(categories=["L", "N", "P"]), min_size=1, max_size=400))
def test_a_cell_that_does_not_fit_is_told_whole(cell: str) -> None:
    table = Table(columns=(Column(title="only"),), rows=((cell,),))
    told = "".join(text_of(document(table)).splitlines()[6:-3])
    assert told.replace(" ", "") == cell
