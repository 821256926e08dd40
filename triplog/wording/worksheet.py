"""The words of the worksheet for a certification. English; facts, no conclusions."""

from collections.abc import Mapping

FIRST = (
    "Facts for a person who certifies this copy, as the US Federal Rules of Evidence 902(13) and"
    " 902(14) ask for it. Nothing here is signed, and nothing is legal advice: other"
    " courts ask for other things. Whoever signs has to know the facts, and to check them."
)
FOOTER = (
    "The log is tamper-evident: a change shows against a head that is in other hands. That is a"
    " matter of authenticity; hearsay, relevance and whether an entry is true are others."
)
PURPOSE = (
    "To record how a load was planned, tied down, judged, checked on the way and released, when"
    " that was, and what was corrected later."
)
ENTRY = (
    "Each act at a terminal, each reading imported and each prompt is one entry: appended, never"
    " changed. It names the SHA-256 of the entry before it on its device. What is corrected stays,"
    " and the new entry names it."
)
TYPED = (
    "Loads, gear, ratings, readings, what was seen and done, reasons, notes. The times of events,"
    " where they were typed."
)
COMPUTED = (
    "Findings of rules, due checks, the times of writing, differences between clocks, digests. The"
    " tables and rows used stand in figures/, the findings in plans/."
)
SELF_CHECK = (
    "Whenever the journal is opened, its guards and the last entries of the chain are compared;"
    " before a head is signed, that it follows the head signed last; `triplog entries --check`"
    " compares every entry. verify.py compares this copy; its answer is to be written below."
)
FILES = "Each file's SHA-256 stands in manifest-sha256.txt; sha256sum --check compares them."
SEAL = (
    "The SHA-256 of tagmanifest-sha256.txt, which the program showed when this copy was made. It"
    " cannot stand in the copy itself: write it in from the screen or from your own note."
)
SOURCE = (
    "The journal's own file goes on being written, so that its SHA-256 says nothing of it later."
    " What identifies it are the last entries at the moment of copying:"
)
BLANKS = (
    "Name",
    "Occupation, and how qualified",
    "How I know this process",
    "verify.py answered, on (date)",
    "Value for all files, compared with",
    "Heads in other hands, compared with",
    "Notice given to, on (date)",
    "Declaration (28 USC 1746: form and date)",
    "Signature",
)
FORM = (
    "902(13) and (14) let a certificate stand in the place of a witness if it has the form of"
    " 902(11) or (12), with reasonable written notice and a chance to inspect (read in commentaries"
    " that quote the rules). 28 USC 1746 has the form of an unsworn declaration (named in a"
    " commentary; its words are left to the person who signs)."
)


def counted(counts: Mapping[str, int]) -> str:
    """Numbers by name, the most first."""
    ordered = sorted(counts.items(), key=lambda one: (-one[1], one[0]))
    return ", ".join(f"{count} {name}" for name, count in ordered) or "none"


def clock_text(clocks: Mapping[str, int], starts: int, steps: int) -> str:
    """Which clocks the entries were made by, and what is known of how they ran."""
    return (
        f"Times of writing by: {counted(clocks)}. With each entry the start of the machine"
        f" and its own counter since then were read; starts met: {starts}, steps of the clock"
        f" recorded: {steps}. No entry's time of writing is ever set by hand."
    )


def late_text(late: int, ahead: int) -> str:
    """How many entries tell of something earlier or later than their writing."""
    return (
        f"Written down more than 15 minutes after what is told: {late}. Dated after it was written:"
        f" {ahead}. Each shows both times."
    )


def head_text(head: Mapping[str, object]) -> str:
    """The last entry of a device's chain in the copy."""
    return f"{head['entries']} entries here, the last number {head['seq']}, SHA-256 {head['hash']}"


def code_text(code: str | None, size: int | None) -> str:
    """The signed head that goes with the copy."""
    if code is None:
        return "none was signed: the log did not follow the last signed head, or has no key"
    return f"over {size} entries of the device that made this copy; its code is {code}"


def hands(given: int, countersigned: int, stamped: int) -> str:
    """What makes a later change show."""
    return (
        f"given away: {given}; countersigned by another installation: {countersigned};"
        f" time-stamped: {stamped}; as entries here say. The copies themselves are elsewhere."
    )


def gaps(withheld: Mapping[str, int], destroyed: int, forks: int) -> str:
    """What was left out, is gone, or is told otherwise somewhere else."""
    left_out = counted(withheld)
    return (
        f"Private values withheld from this copy: {left_out}. Destroyed: {destroyed}. Other"
        f" histories of a device met: {forks}. What was never entered, and what happened after the"
        " last entry, is not here either."
    )
