"""Private values: what is said when they go, and what that does not reach. English."""

LIMITS = (
    "what left this machine is out of reach: copies, prints, messages, other people's journals",
    "the disk itself may hold traces of an older state of the file that a laboratory can read",
)
"""What destroying does not do, whatever is recorded of copies."""


def not_listed_text(folder: str, problem: str) -> str:
    """The list of what was destroyed could not be kept in the second place."""
    return (
        f"destroyed and recorded, but the list of it could not be written to {folder}: {problem}."
        " A back-up made before this would bring the values back; make room there and destroy"
        " anything again, or make a new back-up and destroy the old ones"
    )
