"""What a group withstands, as a picture: squares for what is asked, and the same in words."""

from typing import Any
from xml.etree import ElementTree

from triplog.drawing.envelope import envelope_picture
from triplog.drawing.svg import Drawing

POLAR = [[5 * step, "0.62"] for step in range(72)]


def entry(direction: str, asked: float, withstands: float | None, mode: str | None) -> Any:
    return {
        "about": ["A"],
        "direction": direction,
        "required_g": asked,
        "withstands_g": withstands,
        "mode": mode,
    }


def drawn(*entries: Any, polar: Any = POLAR) -> Drawing:
    drawing = envelope_picture([*entries, {"about": ["A"], "direction": "polar", "polar": polar}])
    assert drawing is not None
    return drawing


def squares(drawing: Drawing) -> list[str | None]:
    rectangles = ElementTree.fromstring(drawing.svg).iter("{http://www.w3.org/2000/svg}rect")
    return [one.get("fill") for one in rectangles if one.get("width") == "12"]


def test_a_direction_that_falls_short_is_an_open_square_and_says_so() -> None:
    drawing = drawn(entry("forward", 0.8, 0.6249, "slide"), entry("rearward", 0.5, 0.6249, "tip"))
    assert squares(drawing) == ["white", "black"]
    assert (
        "forward: withstands only 0.62 g of the 0.80 g asked; beyond that it slides" in drawing.alt
    )
    assert "rearward: withstands 0.62 g, asked 0.50 g; beyond that it tips" in drawing.alt


def test_what_is_notably_less_a_little_off_a_direction_is_said_and_a_curve_is_not() -> None:
    polar = [[5 * step, "0.31" if step == 2 else "0.62"] for step in range(72)]
    drawing = drawn(entry("forward", 0.5, 0.62, "slide"), polar=polar)
    assert "10 degrees off, from forward to the left: only 0.31 of the weight" in drawing.alt
    bent = [[5 * step, f"{0.62 - 0.02 * (step == 71):.2f}"] for step in range(72)]
    assert "degrees off" not in drawn(entry("forward", 0.5, 0.62, "slide"), polar=bent).alt
    right = [[5 * step, "0.31" if step == 71 else "0.62"] for step in range(72)]
    told = drawn(entry("forward", 0.5, 0.62, "slide"), polar=right).alt
    assert "5 degrees off, from forward to the right: only 0.31" in told
    rear = drawn(entry("rearward", 0.5, 0.62, "slide"), polar=[[190, "0.3"], *polar]).alt
    assert "10 degrees off, from rearward to the right: only 0.3" in rear


def test_exactly_what_is_asked_is_withstood() -> None:
    assert squares(drawn(entry("left", 0.5, 0.5, "slide"))) == ["black"]


def test_what_cannot_be_told_is_said() -> None:
    drawing = drawn(entry("left", 0.5, None, None))
    assert squares(drawing) == ["white"]
    assert "left: asked 0.50 g; what it withstands cannot be told" in drawing.alt


def test_forward_is_at_the_left_and_left_is_down() -> None:
    polar = [[0, "0.5"], [90, "0.4"], [180, "0.3"], [270, "0.2"]]
    drawing = drawn(entry("forward", 0.8, 0.5, "slide"), polar=polar)
    polygon = next(ElementTree.fromstring(drawing.svg).iter("{http://www.w3.org/2000/svg}polygon"))
    points = [
        tuple(float(one) for one in point.split(",")) for point in polygon.get("points", "").split()
    ]
    centre = (280.0, 260.0)
    assert points[0] == (centre[0] - 100, centre[1])
    assert points[1] == (centre[0], centre[1] + 80)


def test_without_a_polar_curve_there_is_no_picture() -> None:
    assert envelope_picture([entry("forward", 0.8, None, None)]) is None


def test_an_article_that_cannot_be_moved_stays_at_the_rim() -> None:
    drawing = drawn(entry("forward", 0.8, 900.0, "slide"), polar=[[0, "900"], [180, "0.5"]])
    polygon = next(ElementTree.fromstring(drawing.svg).iter("{http://www.w3.org/2000/svg}polygon"))
    assert all(
        0 <= float(one) <= 560
        for point in polygon.get("points", "").split()
        for one in point.split(",")
    )
