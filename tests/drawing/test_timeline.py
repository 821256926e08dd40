"""The bars of the timeline: known, estimated, past the limit, not known, each by its shape."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from triplog.drawing.timeline import BarEnd, TimelineBar, TimelinePanel, timeline_picture

LEFT, RIGHT = 190.0, 640.0
SVG = "{http://www.w3.org/2000/svg}"


def bar(
    known: float,
    up_to: float | None,
    *,
    limit: float | None = 50.0,
    end: BarEnd = BarEnd.LOOKED,
    partial: tuple[float, ...] = (),
) -> TimelineBar:
    return TimelineBar(
        name="07:00 to 08:00",
        known=known,
        up_to=up_to,
        limit=limit,
        limit_name="50 mi",
        end=end,
        told="what is told",
        partial=partial,
    )


def drawn(*bars: TimelineBar) -> ElementTree.Element:
    panel = TimelinePanel(title="distance", unit="mi", bars=bars)
    picture = timeline_picture("Checks", (panel,), legend="filled: known", notes=("a note",))
    assert "what is told" in picture.alt
    return ElementTree.fromstring(picture.svg)


def boxes(tree: ElementTree.Element, fill: str) -> list[tuple[float, float]]:
    """Left edge and width of the bars' boxes with that fill."""
    found = [one for one in tree.iter(f"{SVG}rect") if float(one.get("height", "0")) == 12.0]
    return [
        (float(one.get("x", "0")), float(one.get("width", "0")))
        for one in found
        if one.get("fill") == fill
    ]


def test_what_is_known_is_filled_up_to_the_limit_and_hatched_past_it() -> None:
    tree = drawn(bar(60.0, 60.0))
    ((start, within),) = boxes(tree, "black")
    ((late_from, late),) = boxes(tree, "white")
    assert start == LEFT
    assert late_from == pytest.approx(start + within, abs=0.02)
    # 50 of 60 miles are within, 10 beyond.
    assert within / late == pytest.approx(5.0, rel=1e-3)


def test_nothing_is_hatched_before_the_limit() -> None:
    assert boxes(drawn(bar(50.0, 50.0)), "white") == []


def test_what_is_estimated_is_dashed_and_never_hatched() -> None:
    tree = drawn(bar(10.0, 60.0))
    (dashed,) = [one for one in tree.iter(f"{SVG}polygon") if one.get("stroke-dasharray")]
    assert dashed is not None
    assert boxes(tree, "white") == []


def test_what_cannot_be_told_runs_dashed_to_a_question_mark() -> None:
    tree = drawn(bar(10.0, None, end=BarEnd.STILL_RUNS))
    assert "?" in [one.text for one in tree.iter(f"{SVG}text")]
    assert [one for one in tree.iter(f"{SVG}polyline") if one.get("stroke-dasharray")]


@given(
    counts=st.lists(
        st.tuples(
            st.floats(min_value=0, max_value=3000),
            st.floats(min_value=0, max_value=3000),
            st.none() | st.floats(min_value=1, max_value=250),
        ),
        min_size=1,
        max_size=6,
    )
)
def test_everything_lies_within_the_picture(
    counts: list[tuple[float, float, float | None]],
) -> None:
    bars = [
        bar(known, known + more, limit=limit, partial=(known / 2,)) for known, more, limit in counts
    ]
    tree = drawn(*bars)
    width, height = (float(one) for one in tree.get("viewBox", "").split()[2:])
    for one in tree.iter(f"{SVG}rect"):
        x, wide = float(one.get("x", "0")), float(one.get("width", "0"))
        y, high = float(one.get("y", "0")), float(one.get("height", "0"))
        assert x >= 0
        assert x + wide <= width
        assert y + high <= height
    for one in tree.iter(f"{SVG}text"):
        assert 0 <= float(one.get("y", "0")) <= height


def test_it_is_black_and_white_only() -> None:
    tree = drawn(bar(60.0, 70.0, partial=(5.0,)), bar(1.0, 1.0, end=BarEnd.OVER))
    used = {one.get(name) for one in tree.iter() for name in ("fill", "stroke")}
    assert used <= {"black", "white", "none", None}


def test_a_count_below_nothing_is_our_fault() -> None:
    with pytest.raises(AssertionError):
        bar(-1.0, 1.0)
    with pytest.raises(AssertionError):
        bar(5.0, 1.0)
