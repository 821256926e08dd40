"""What a test needs of the machine beyond Python: skipped in words without it, or a failure."""

import os
import shutil
from collections.abc import Sequence
from typing import NoReturn

import pytest

NEED_ALL = "TRIPLOG_NEED_ALL"
"""Set to 1 where everything has to be there: a missing part is then a failure, not a skip."""


def need(program_names: Sequence[str]) -> None:
    """Go on only if all these programs are installed here."""
    absent = [name for name in program_names if shutil.which(name) is None]
    if absent:
        missing(f"this machine has no {', '.join(absent)}; the test needs it")


def missing(reason: str) -> NoReturn:
    """Something is not there: leave the test, in words."""
    if os.environ.get(NEED_ALL) == "1":
        pytest.fail(reason)
    pytest.skip(reason)
