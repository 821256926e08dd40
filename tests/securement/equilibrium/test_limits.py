"""A scene with more equations than are ever begun is refused at once, in words that have a name."""

from triplog.securement.equilibrium.scene import Anchor, Body, Leg, Refusal, Scene, Strap
from triplog.securement.equilibrium.withstands import ROWS_MAX, withstands

BOX = Body(
    id="A",
    weight_n=200_000.0,
    cog_m=(0.0, 0.0, 1.0),
    base_m=tuple((x, y, 0.0) for x in (-3.0, 3.0) for y in (-1.2, 1.2)),
    friction=0.3,
)


def chained(anchors: int) -> Scene:
    """Two chains to each anchor point along one side."""
    straps = tuple(
        Strap(
            id=f"C{number}{end}",
            legs=(
                Leg(
                    body="A",
                    cargo_m=(-3.0 + 6.0 * number / anchors, 1.2, up_m),
                    anchor_m=(-3.5 + 6.0 * number / anchors, 1.6, 0.0),
                    anchor=f"L{number}",
                ),
            ),
            limit_n=18_000.0,
            rate_n_per_m=1e5,
        )
        for number in range(anchors)
        for end, up_m in (("a", 1.0), ("b", 0.8))
    )
    points = tuple(Anchor(id=f"L{number}", limit_n=20_000.0) for number in range(anchors))
    return Scene(bodies=(BOX,), straps=straps, anchors=points)


def test_hundreds_of_shared_anchor_points_are_refused_and_not_begun() -> None:
    told = withstands(chained(ROWS_MAX), 0.0)
    assert told == Refusal(reason="no-answer-within-limit", about=("A",))


def test_a_dozen_shared_anchor_points_have_an_answer() -> None:
    assert not isinstance(withstands(chained(12), 0.0), Refusal)
