"""What was found beside the tie-downs at a check. English."""

from collections.abc import Iterable, Mapping, Sequence

NOT_PUT_RIGHT = "not said to be put right"


def beside_text(look: Mapping[str, object]) -> str:
    """One thing that was not as it should be: "tails loose, put right"."""
    done = "put right" if look["put_right"] else NOT_PUT_RIGHT
    return f"{look['item']} {look['found']}, {done}"


def beside_texts(looks: Iterable[Mapping[str, object]]) -> list[str]:
    """The same of everything that was looked at, nothing where nothing was found."""
    return [beside_text(one) for one in looks if "found" in one]


def left_wrong_text(things: Sequence[str]) -> str:
    """What to do about what was found and not put right, each such as "tarps loose"."""
    return (
        f"{NOT_PUT_RIGHT}: {', '.join(things)}. Do it before driving on, or have it done; what"
        " cannot be done from the ground is left to those who can"
    )
