"""The sheet as PDF, read back with pdftotext where that is installed."""

import re
import subprocess
from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

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
from exports.pdf_sheet import Paper, write_pdf
from exports.pdf_type import BODY, CELL, CELL_BOLD, FIGURE, MAIN_FIGURES
from tests.needs import need

MADE_AT = datetime(2026, 5, 4, 18, 0, tzinfo=UTC)
SVG = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 50" font-family="serif">'
    '<rect x="1" y="1" width="198" height="48" fill="none" stroke="black"/>'
    '<text x="100" y="30" font-size="9" text-anchor="middle">deck 🚚</text></svg>'
)
TABLE = Table(
    columns=(
        Column(title="Rule", weight=3),
        Column(title="Required", unit="lb", align="right"),
        Column(title="Verdict", weight=2),
    ),
    rows=(("aggregate working load limit", "8,200", "does not meet"),),
)
SHEET = Document(
    title="Trip T-1",
    subtitle="flatbed, driver",
    language="en",
    blocks=(
        KeyValues(pairs=(("Article", "16,400 lb"), ("Next check by", "120,395 mi"))),
        Paragraph(text="Check only where you can stop off the road.", style="caution"),
        Heading(text="Verdicts"),
        TABLE,
        Picture(svg=SVG, alt="The deck from above"),
        Paragraph(text="Units as typed.", style="small"),
        Attachment(name="plan.toml", media_type="text/plain", data=b"abc"),
    ),
    footer="Written from the log.",
    invented=False,
)


def text_of(document: Document, folder: Path, paper: Paper = "letter") -> str:
    """The text of the PDF; pages are parted by form feeds."""
    need(["pdftotext"])
    path = folder / "sheet.pdf"
    write_pdf(document, paper, path, MADE_AT)
    done = subprocess.run(
        ["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True
    )
    return done.stdout


def test_a_sheet_shows_every_block_on_one_page(tmp_path: Path) -> None:
    text = text_of(SHEET, tmp_path)
    for words in (
        "Trip T-1",
        "flatbed, driver",
        "16,400 lb",
        "120,395 mi",
        "stop off the road",
        "Verdicts",
        "aggregate working load limit",
        "does not meet",
        "The deck from above",
        "plan.toml (text/plain, 3 bytes)",
        # SHA-256 of "abc": FIPS 180, the one-block example.
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        "Written from the log.",
        "page 1 of 1",
    ):
        assert words in text
    assert "INVENTED" not in text


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_same_sheet_gives_the_same_bytes(paper: Paper, tmp_path: Path) -> None:
    here = MADE_AT.astimezone(timezone(timedelta(hours=-5)))
    write_pdf(SHEET, paper, tmp_path / "one.pdf", MADE_AT)
    write_pdf(SHEET, paper, tmp_path / "two.pdf", here)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_the_paper_is_the_one_asked_for(tmp_path: Path) -> None:
    # ISO 216: A4 is 210 x 297 mm; letter is 8.5 x 11 in. A point is 1/72 in.
    for paper, box in (("a4", "595.28 841.89"), ("letter", "612.00 792.00")):
        path = tmp_path / f"{paper}.pdf"
        write_pdf(SHEET, "a4" if paper == "a4" else "letter", path, MADE_AT)
        assert f"/MediaBox [0 0 {box}]".encode() in path.read_bytes()


def test_a_character_without_a_glyph_is_shown_as_its_code(tmp_path: Path) -> None:
    document = replace(SHEET, blocks=(*SHEET.blocks, Paragraph(text="a 🚚 b 漢 c\u200d d\te")))
    text = text_of(document, tmp_path)
    assert "a U+1F69A b U+6F22 cU+200D dU+0009e" in text
    assert "deck U+1F69A" in text


def test_a_space_that_does_not_break_is_no_missing_character(tmp_path: Path) -> None:
    document = replace(SHEET, blocks=(Paragraph(text="8\u00a0200\u202flb"),))
    assert "U+" not in text_of(document, tmp_path)


def test_invented_data_says_so_on_every_page(tmp_path: Path) -> None:
    rows = tuple((f"rule {number}", "1", "meets") for number in range(120))
    document = replace(SHEET, blocks=(replace(TABLE, rows=rows),), invented=True)
    pages = text_of(document, tmp_path).split("\f")[:-1]
    assert len(pages) > 1
    assert all("INVENTED DEMO DATA" in page for page in pages)


def test_rows_stay_whole_and_titles_come_again_on_each_page(tmp_path: Path) -> None:
    rows = tuple((f"rule {number} end{number}", "1", "meets") for number in range(120))
    pages = text_of(replace(SHEET, blocks=(replace(TABLE, rows=rows),)), tmp_path).split("\f")[:-1]
    for number, page in enumerate(pages, start=1):
        assert "Required" in page
        assert f"page {number} of {len(pages)}" in page
    for number in range(120):
        assert sum(bool(re.search(rf"\brule {number}\b", page)) for page in pages) == 1


def test_a_row_higher_than_a_page_goes_on_without_losing_a_word(tmp_path: Path) -> None:
    words = [f"word{number}" for number in range(1500)]
    document = replace(SHEET, blocks=(replace(TABLE, rows=((" ".join(words), "1", "meets"),)),))
    assert set(words) <= set(text_of(document, tmp_path).split())


def test_a_long_caution_and_a_long_word_lose_nothing(tmp_path: Path) -> None:
    words = [f"word{number}" for number in range(1500)]
    long_word = "".join(f"{number:03d}" for number in range(200))
    document = replace(
        SHEET,
        blocks=(Paragraph(text=" ".join(words), style="caution"), Paragraph(text=long_word)),
    )
    text = text_of(document, tmp_path)
    assert set(words) <= set(text.split())
    assert long_word in re.sub(r"\s", "", text)


def test_a_heading_does_not_stand_alone_at_the_foot_of_a_page(tmp_path: Path) -> None:
    for lines in (38, 40, 41, 42):
        document = replace(
            SHEET,
            blocks=(Paragraph(text="line\n" * lines + "last"), Heading(text="Verdicts"), TABLE),
        )
        page = next(p for p in text_of(document, tmp_path).split("\f") if "Verdicts" in p)
        assert "aggregate" in page


def test_a_drawing_that_cannot_be_set_is_named_in_its_place(tmp_path: Path) -> None:
    for svg in ("<svg", "<svg xmlns='http://www.w3.org/2000/svg'/>"):
        document = replace(SHEET, blocks=(Picture(svg=svg, alt="The deck from above"),))
        assert "The deck from above: this drawing cannot be set" in text_of(document, tmp_path)


def test_text_in_braces_is_left_as_it_is(tmp_path: Path) -> None:
    document = replace(SHEET, blocks=(Paragraph(text="{nb} **stars** __lines__"),))
    assert "{nb} **stars** __lines__" in text_of(document, tmp_path)


def test_a_table_with_too_many_columns_is_refused(tmp_path: Path) -> None:
    table = Table(columns=(Column(title="m"),) * 60, rows=())
    with pytest.raises(DocumentError, match="too narrow"):
        write_pdf(replace(SHEET, blocks=(table,)), "a4", tmp_path / "sheet.pdf", MADE_AT)
    assert not (tmp_path / "sheet.pdf").exists()


def words_at(document: Document, folder: Path) -> dict[str, tuple[float, float, float]]:
    """Each word of the first page with its left edge, its foot and its height, in points."""
    need(["pdftotext"])
    path = folder / "placed.pdf"
    write_pdf(document, "letter", path, MADE_AT)
    done = subprocess.run(
        ["pdftotext", "-f", "1", "-l", "1", "-bbox", str(path), "-"],
        capture_output=True,
        text=True,
        check=True,
    )
    found = re.findall(
        r'xMin="([\d.]+)" yMin="([\d.]+)" xMax="[\d.]+" yMax="([\d.]+)">([^<]*)<', done.stdout
    )
    return {word: (float(x), float(foot), float(foot) - float(y)) for x, y, foot, word in found}


def test_one_or_two_figures_are_the_main_ones_and_largest(tmp_path: Path) -> None:
    document = replace(
        SHEET,
        blocks=(
            KeyValues(pairs=(("Articles", "MAIN1"), ("Straps", "MAIN2"))),
            KeyValues(pairs=(("a", "ONE"), ("b", "TWO"), ("c", "THREE"), ("d", "FOUR"))),
            Table(columns=(Column(title="t"),), rows=(("CELL",),)),
        ),
    )
    words = words_at(document, tmp_path)
    assert words["MAIN1"][1] == words["MAIN2"][1]
    assert len({words[name][1] for name in ("ONE", "TWO", "THREE", "FOUR")}) == 1
    assert words["MAIN1"][2] > words["ONE"][2] > words["CELL"][2]


def test_figures_too_long_to_stand_side_by_side_stand_one_below_the_other(tmp_path: Path) -> None:
    pairs = (("Articles", "MAIN1 " + "m" * 14), ("Straps", "MAIN2 " + "m" * 14))
    document = replace(SHEET, blocks=(KeyValues(pairs=pairs), KeyValues(pairs=(("a", "ONE"),) * 3)))
    words = words_at(document, tmp_path)
    assert words["MAIN1"][1] < words["MAIN2"][1]
    assert words["MAIN1"][2] > words["ONE"][2]


def test_figures_take_the_width_they_need_and_then_a_new_row(tmp_path: Path) -> None:
    pairs = (("a", "ONE"), ("b", "TWO " + "w" * 25), ("c", "THREE"), ("d", "FOUR"))
    words = words_at(replace(SHEET, blocks=(KeyValues(pairs=pairs),)), tmp_path)
    assert words["ONE"][1] == words["TWO"][1] < words["THREE"][1] == words["FOUR"][1]
    assert words["ONE"][0] == pytest.approx(words["THREE"][0], abs=2)


def test_a_figure_higher_than_a_page_loses_nothing(tmp_path: Path) -> None:
    figures = [f"word{number}" for number in range(1200)]
    pairs = (("a", "ONE"), ("b", " ".join(figures)), ("c", "THREE"))
    text = text_of(replace(SHEET, blocks=(KeyValues(pairs=pairs),)), tmp_path)
    assert {"ONE", "THREE", *figures} <= set(text.split())


def test_cells_wrap_only_where_the_row_is_too_wide(tmp_path: Path) -> None:
    table = Table(
        columns=(Column(title="a"), Column(title="b", weight=9)),
        rows=(("a rather long first cell of seven words", "END"),),
    )
    words = words_at(replace(SHEET, blocks=(table,)), tmp_path)
    # The letters of the first column are bold, so their boxes differ; the line is the same.
    assert words["rather"][1] == pytest.approx(words["END"][1], abs=1)
    assert words["words"][1] == pytest.approx(words["END"][1], abs=1)


def test_a_wide_cell_never_pushes_its_neighbour_off_the_page(tmp_path: Path) -> None:
    table = Table(
        columns=(Column(title="a"), Column(title="b"), Column(title="c", weight=0.1)),
        rows=(("a b c d " * 20, "x" * 60, "END words that wrap"),),
    )
    words = words_at(replace(SHEET, blocks=(table,)), tmp_path)
    # Letter is 612 points wide; the margin is 11 mm.
    assert words["END"][0] < 612 - 11 * 72 / 25.4


def test_no_text_of_a_table_is_smaller_than_ten_and_a_half_points() -> None:
    assert min(CELL.points, CELL_BOLD.points, BODY.points) >= 10.5
    assert min(FIGURE.points, *(kind.points for kind in MAIN_FIGURES)) >= 14
