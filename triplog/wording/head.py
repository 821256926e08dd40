"""The signed head of a log in words: what it is good for, and how it is told. English."""

HEADING = "The log up to here"
PICTURE = "The signed head as a QR code: three lines, and the signature"


def code_line(code: str, size: int) -> str:
    """The code, and of how many entries."""
    return f"code of the log up to here, {size} entries: {code}"


def code_in_short(code: str, size: int) -> str:
    """The same for the foot of a page, which has one line for it."""
    return f"code of {size} entries: {code}"


def head_text(code: str, size: int, made: str) -> str:
    """The code with what it is good for."""
    return (
        f"{code}\nStands for the first {size} entries of this device's log, as they were at {made}."
        " Once it is in somebody else's hands, on a bill of lading or in a message, none of them"
        " can be changed, removed or put in unnoticed. Later entries rest on later codes. It says"
        " nothing about whether an entry is true."
    )


WITHHELD = (
    "! no head was signed: this journal does not follow the head that was signed last here. An old"
    " copy was put back, or another copy went on. What you record is kept, and its export says so."
    " To go on as a device of its own, with what is known to be missing: `triplog restore`"
)


def not_kept_text(folder: str, why: str) -> str:
    """The second place cannot be written; what was recorded stands."""
    return (
        f"! the signed head cannot be kept in {folder}: {why}. What was recorded stands; but an old"
        " copy put back will not be noticed here. Allow writing there, or name another with --heads"
    )
