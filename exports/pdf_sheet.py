"""A document as PDF: black on white, readable at arm's length, the same bytes each time.

This module is light to import; what sets the pages is loaded when a sheet is written.
"""

from datetime import datetime
from pathlib import Path
from typing import Literal

from exports.document import Document, DocumentError

Paper = Literal["letter", "a4"]


def write_pdf(document: Document, paper: Paper, out: Path, made_at: datetime) -> int:
    """Write the document to the file `out`; the answer is the number of pages.

    `made_at`, an aware time, is written into the file as its date. The same document, paper and
    time give the same bytes. Text goes on to as many pages as it needs, each with its number. A
    character that the font lacks is shown as its code, like U+2603.

    Raises `DocumentError` if the paper is another or a column is too narrow for one character,
    and `OSError` as the disk gives it.
    """
    if paper not in ("letter", "a4"):
        raise DocumentError(f"{paper!r} is no paper size here: use letter or a4.")
    assert made_at.tzinfo is not None, "made_at is an aware time"
    from exports.pdf_page import set_pages

    data, pages = set_pages(document, paper, made_at)
    out.write_bytes(data)
    return pages
