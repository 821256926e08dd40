"""Lists of gear as people keep them, put beside a script under `gear.csv`. All is invented."""

from collections.abc import Callable

from tests.cli.terminal import Terminal


def messy(terminal: Terminal) -> None:
    """A messy list of gear."""
    _write(
        terminal,
        "gear of the yard;;;;;;\r\n"
        "Tag No.;Type;Width;Length (ft);WLL (lbs);Status;Bay\r\n"
        'W-1;Ratchet strap;2";27;3,335;;4\r\n'
        "W-2;winch;4\";30';5,400#;retired;4\r\n"
        ";;;;;;\r\n"
        'W-3;strap;2";27;;;\r\n'
        'W-4;chain;3/8";6,10 m;6600;;\r\n'
        "W-2;winch;4\";30';5,400#;;\r\n"
        '"W-5;chain\r\n',
    )


def unclear(terminal: Terminal) -> None:
    """A list of gear with a heading that can mean two things."""
    _write(terminal, "Label,Kind,Capacity\nW-1,chain,6600 lb\n")


def without_headings(terminal: Terminal) -> None:
    """A list of gear without headings."""
    _write(terminal, "W-1,chain,3/8 in,6600 lb\n")


def of_another_encoding(terminal: Terminal) -> None:
    """A list of gear that is not in UTF-8."""
    terminal.folder.joinpath("gear.csv").write_bytes(
        "Label;Kind;Length;Note\nW-1;chain;6 m;for ½ pallets\nW-2;chain;6 m;\n".encode("cp1252")
    )


def tidy(terminal: Terminal) -> None:
    """A tidy list of gear."""
    _write(
        terminal,
        "Label,Kind,Width,Length,WLL,Qty,Next inspection\n"
        'W-1,ratchet strap,"2""",27\',"3,335 lb",4,2026-03-01\n'
        "C-1,chain,,20 ft,6600 lb,,\n",
    )


def _write(terminal: Terminal, text: str) -> None:
    terminal.folder.joinpath("gear.csv").write_text(text, encoding="utf-8", newline="")


LISTS: dict[str, Callable[[Terminal], None]] = {
    (one.__doc__ or "").rstrip("."): one
    for one in (messy, unclear, without_headings, of_another_encoding, tidy)
}
"""By the sentence that a script's `given:` line holds."""
