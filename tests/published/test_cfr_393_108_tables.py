"""Default ratings of unmarked gear: 49 CFR 393.108, tables to paragraphs (a) to (g), row by row.

Typed here a second time, apart from the program's own tables. Chain, webbing, wire rope and manila
were read in reproduced copies of the tables (second-hand); polypropylene, polyester, nylon,
double-braided nylon and steel strapping are from memory. kg (lb) as printed, rounded apart.
"""

from fractions import Fraction

import pytest

from triplog.securement.figures import (
    DefaultRating,
    acceleration,
    chain_default,
    chain_grade,
    cordage_default,
    figure,
    steel_strapping_default,
    webbing_damage_limit,
    webbing_default,
    webbing_use_limits,
    wire_rope_default,
)
from triplog.securement.quantity import Dimension, Quantity, parse


def length(text: str) -> Quantity:
    return parse(text, Dimension.LENGTH)


def printed(rating: DefaultRating | None) -> str:
    assert rating is not None
    return f"{rating.wll_kg} ({rating.wll_lb})"


# 49 CFR 393.108, table for chain, reproduced copy (second-hand).
CHAIN = """
7 mm|1/4 in|580 (1300)|1180 (2600)|1430 (3150)|1570 (3500)|1950 (4300)
8 mm|5/16 in|860 (1900)|1770 (3900)|2130 (4700)|2000 (4500)|2600 (5700)
10 mm|3/8 in|1200 (2650)|2450 (5400)|2990 (6600)|3200 (7100)|4000 (8800)
11 mm|7/16 in|1680 (3700)|3270 (7200)|3970 (8750)|none|none
13 mm|1/2 in|2030 (4500)|4170 (9200)|5130 (11300)|5400 (12000)|6800 (15000)
16 mm|5/8 in|3130 (6900)|5910 (13000)|7170 (15800)|8200 (18100)|10300 (22600)
"""
CHAIN_CELLS = [
    (size, grade, cell)
    for row in CHAIN.strip().splitlines()
    for millimetres, inches, *cells in [row.split("|")]
    for grade, cell in zip(("30", "43", "70", "80", "100"), cells, strict=True)
    for size in (millimetres, inches)
]


@pytest.mark.parametrize(("size", "grade", "cell"), CHAIN_CELLS)
def test_each_chain_counts_as_printed(size: str, grade: str, cell: str) -> None:
    """49 CFR 393.108, table for chain (second-hand)."""
    rating = chain_default(length(size), grade)
    if cell == "none":
        assert rating is None
    else:
        assert printed(rating) == cell
        assert rating is not None and rating.citation.how_sure == "second-hand"


@pytest.mark.parametrize(
    ("grade", "marks"),
    [
        ("30", "3 30 300"),
        ("43", "4 43 430"),
        ("70", "7 70 700"),
        ("80", "8 80 800"),
        ("100", "10 100 1000"),
    ],
)
def test_the_three_marks_of_a_grade_are_one_grade(grade: str, marks: str) -> None:
    """49 CFR 393.108, marks printed with the table for chain (second-hand)."""
    for mark in marks.split():
        for typed in (mark, f"G{mark}", f"grade {mark}", f" Grade {mark} "):
            assert chain_grade(typed) == grade


@pytest.mark.parametrize("mark", [None, "", "worn", "A7", "77"])
def test_chain_of_a_grade_not_told_is_grade_30(mark: str | None) -> None:
    """49 CFR 393.108(d) (read)."""
    assert printed(chain_default(length("3/8 in"), mark)) == "1200 (2650)"


def test_five_sixteenths_of_grade_80_holds_less_than_grade_70() -> None:
    """49 CFR 393.108, table for chain (second-hand): 4,500 lb against 4,700 lb."""
    grade_80, grade_70 = (chain_default(length("5/16 in"), grade) for grade in ("80", "70"))
    assert grade_80 is not None and grade_70 is not None
    assert (str(grade_80.wll_lb), str(grade_70.wll_lb)) == ("4500", "4700")


# 49 CFR 393.108, table for synthetic webbing, reproduced copy (second-hand).
WEBBING = [
    ("45 mm", "1 3/4 in", "790 (1750)"),
    ("50 mm", "2 in", "910 (2000)"),
    ("75 mm", "3 in", "1360 (3000)"),
    ("100 mm", "4 in", "1810 (4000)"),
]


@pytest.mark.parametrize(("millimetres", "inches", "cell"), WEBBING)
def test_each_webbing_counts_as_printed(millimetres: str, inches: str, cell: str) -> None:
    """49 CFR 393.108, table for synthetic webbing (second-hand)."""
    assert printed(webbing_default(length(millimetres))) == cell
    assert printed(webbing_default(length(inches))) == cell


@pytest.mark.parametrize("width", ["1 in", "25 mm", "2 1/2 in", "48 mm", "51 mm", "5 in"])
def test_webbing_between_or_beyond_the_rows_has_no_default(width: str) -> None:
    """49 CFR 393.108: the table holds 1 3/4, 2, 3 and 4 in and no other (second-hand)."""
    assert webbing_default(length(width)) is None


# 49 CFR 393.108, table for wire rope, 6 x 37 fibre core, reproduced copy (second-hand).
WIRE_ROPE = """
7 mm|1/4 in|640 (1400)
8 mm|5/16 in|950 (2100)
10 mm|3/8 in|1360 (3000)
11 mm|7/16 in|1860 (4100)
13 mm|1/2 in|2400 (5300)
16 mm|5/8 in|3770 (8300)
20 mm|3/4 in|4940 (10900)
22 mm|7/8 in|7300 (16100)
25 mm|1 in|9480 (20900)
"""


@pytest.mark.parametrize("row", WIRE_ROPE.strip().splitlines())
def test_each_wire_rope_counts_as_printed(row: str) -> None:
    """49 CFR 393.108(e)(2) (read) and table for wire rope (second-hand)."""
    millimetres, inches, cell = row.split("|")
    assert printed(wire_rope_default(length(millimetres))) == cell
    assert printed(wire_rope_default(length(inches))) == cell


# 49 CFR 393.108, tables for cordage; manila second-hand, the other four from memory.
CORDAGE_MATERIALS = ("manila", "polypropylene", "polyester", "nylon", "double-braided nylon")
CORDAGE = """
10 mm|3/8 in|90 (205)|180 (400)|250 (555)|130 (278)|150 (336)
11 mm|7/16 in|120 (265)|240 (525)|340 (750)|190 (410)|230 (502)
13 mm|1/2 in|150 (315)|280 (625)|440 (960)|240 (525)|300 (655)
16 mm|5/8 in|210 (465)|420 (925)|680 (1500)|420 (935)|510 (1130)
20 mm|3/4 in|290 (640)|580 (1275)|850 (1880)|640 (1420)|830 (1840)
25 mm|1 in|480 (1050)|950 (2100)|1500 (3300)|1140 (2520)|1470 (3250)
"""
CORDAGE_CELLS = [
    (material, size, cell)
    for row in CORDAGE.strip().splitlines()
    for millimetres, inches, *cells in [row.split("|")]
    for material, cell in zip(CORDAGE_MATERIALS, cells, strict=True)
    for size in (millimetres, inches)
]


@pytest.mark.parametrize(("material", "size", "cell"), CORDAGE_CELLS)
def test_each_rope_counts_as_printed_or_remembered(material: str, size: str, cell: str) -> None:
    """49 CFR 393.108, tables for cordage: manila second-hand, the others from memory."""
    rating = cordage_default(material, length(size))
    assert printed(rating) == cell
    how_sure = "second-hand" if material == "manila" else "memory"
    assert rating is not None and rating.citation.how_sure == how_sure


@pytest.mark.parametrize("material", [None, ""])
def test_rope_of_a_material_not_told_counts_as_polypropylene(material: str | None) -> None:
    """49 CFR 393.108(c) (read); the value from memory."""
    assert printed(cordage_default(material, length("1/2 in"))) == "280 (625)"


# 49 CFR 393.108, table for steel strapping; all values from memory.
STRAPPING = """
31.7 mm|0.74 mm|1 1/4 in|0.029 in|540 (1190)
31.7 mm|0.79 mm|1 1/4 in|0.031 in|540 (1190)
31.7 mm|0.89 mm|1 1/4 in|0.035 in|540 (1190)
31.7 mm|1.12 mm|1 1/4 in|0.044 in|770 (1690)
31.7 mm|1.27 mm|1 1/4 in|0.050 in|770 (1690)
31.7 mm|1.5 mm|1 1/4 in|0.057 in|870 (1925)
50.8 mm|1.12 mm|2 in|0.044 in|1200 (2650)
50.8 mm|1.27 mm|2 in|0.050 in|1200 (2650)
"""


@pytest.mark.parametrize("row", STRAPPING.strip().splitlines())
def test_each_steel_strap_counts_as_remembered(row: str) -> None:
    """49 CFR 393.108, table for steel strapping (from memory)."""
    width_mm, thickness_mm, width_in, thickness_in, cell = row.split("|")
    for width, thickness in ((width_mm, thickness_mm), (width_in, thickness_in)):
        rating = steel_strapping_default(length(width), length(thickness))
        assert printed(rating) == cell
        assert rating is not None and rating.citation.how_sure == "memory"


# Out-of-service lines for webbing, as shown on a state training slide (second-hand).
@pytest.mark.parametrize(
    ("width", "damage"),
    [("1 3/4 in", "3/8 in"), ("2 in", "3/8 in"), ("3 in", "5/8 in"), ("4 in", "3/4 in")],
)
def test_the_inspector_lines_for_webbing_are_as_shown(width: str, damage: str) -> None:
    """North American out-of-service criteria, webbing by width (second-hand)."""
    limit = webbing_damage_limit(length(width))
    assert limit is not None and limit.damage.si == length(damage).si


@pytest.mark.parametrize(
    ("against", "direction", "g", "clause"),
    [
        ("breaking strength", "forward", "4/5", "393.102(a)(1)"),
        ("breaking strength", "rearward", "1/2", "393.102(a)(1)"),
        ("breaking strength", "lateral", "1/2", "393.102(a)(1)"),
        ("working load limit", "forward", "87/200", "393.102(a)(2)"),
        ("working load limit", "rearward", "1/2", "393.102(a)(2)"),
        ("working load limit", "lateral", "1/4", "393.102(a)(2)"),
        ("weight", "down", "1/5", "393.102(b)"),
    ],
)
def test_the_two_sets_of_accelerations_are_as_read(
    against: str, direction: str, g: str, clause: str
) -> None:
    """49 CFR 393.102(a)(1), (a)(2), (b) (read): 0.8/0.5/0.5, 0.435/0.5/0.25, 20 %."""
    found = acceleration(against, direction)
    assert (str(found.g), found.citation.clause) == (g, clause)


@pytest.mark.parametrize(
    ("figure_id", "us", "si", "clause"),
    [
        ("aggregate-share", "1/2 of weight", "1/2 of weight", "393.106(d)"),
        ("credit-direct", "1/2 of rating", "1/2 of rating", "393.106(d)(1)"),
        ("credit-same-side", "1/2 of rating", "1/2 of rating", "393.106(d)(2)"),
        ("credit-over", "1 of rating", "1 of rating", "393.106(d)(3)"),
        ("friction-mat-share", "1/2 of weight", "1/2 of weight", "393.108(g)"),
        ("count-short-length-max", "5 ft", "38/25 m", "393.110(b)(1)"),
        ("count-light-mass-max", "1100 lb", "500 kg", "393.110(b)(1)"),
        ("count-middle-length-max", "10 ft", "76/25 m", "393.110(b)(2)(ii)"),
        ("coil-mass-min", "5000 lb", "2268 kg", "393.120"),
        ("machine-mass-min", "10000 lb", "4536 kg", "393.130"),
        ("boulder-mass-above", "11000 lb", "5000 kg", "393.136(a)"),
        ("cmv-gross-mass-min", "10001 lb", "4536 kg", "390.5T"),
    ],
)
def test_single_figures_are_as_read_in_both_unit_systems(
    figure_id: str, us: str, si: str, clause: str
) -> None:
    """49 CFR, the clause of each row (read)."""
    found = figure(figure_id)
    assert f"{found.value_us} {found.unit_us}" == us
    assert f"{found.value_si} {found.unit_si}" == si
    assert found.citation.clause == clause


@pytest.mark.parametrize(
    ("figure_id", "value", "clause"),
    [
        ("front-height-min", "4", "393.114(b)(1)"),
        ("front-low-share", "1/2", "393.114(c)(1)"),
        ("front-tall-height-min", "6", "393.114(c)(2)"),
        ("front-tall-share", "2/5", "393.114(c)(2)"),
        ("paper-roll-mass-min", "5000", "393.122"),
        ("boulder-choice-mass-min", "220", "393.136(a)"),
    ],
)
def test_figures_read_in_one_unit_system_are_as_read(
    figure_id: str, value: str, clause: str
) -> None:
    """49 CFR, the clause of each row (read in ft and lb; the metric column was not)."""
    found = figure(figure_id)
    assert (str(found.value_us), found.citation.clause) == (value, clause)


@pytest.mark.parametrize(
    ("used_in", "share", "source", "how_sure"),
    [
        ("us", None, "49 CFR", "read"),
        ("ca", None, "NSC Standard 10", "second-hand"),
        ("eu", "1/10", "EN 12195-2", "second-hand"),
        ("au", "1/10", "load restraint practice Australia", "second-hand"),
    ],
)
def test_what_keeps_cut_webbing_in_use_is_as_told(
    used_in: str, share: str | None, source: str, how_sure: str
) -> None:
    """49 CFR 393.104(b); NSC Standard 10 section 20; EN 12195-2, withdrawal above 10 %; Australia,
    wear of less than 10 % (an engineering certificate of 2018)."""
    limit = next(one for one in webbing_use_limits() if one.used_in == used_in)
    assert limit.share_of_width == (None if share is None else Fraction(share))
    assert (limit.citation.source, limit.citation.how_sure) == (source, how_sure)
