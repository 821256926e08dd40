"""What a test needs of the machine beyond Python: skipped in words without it, or a failure."""

import os
import shutil
from collections.abc import Sequence

import pytest

NEED_ALL = "TRIPLOG_NEED_ALL"
"""Set to 1 where everything has to be there: a missing part is then a failure, not a skip."""


def need(program_names: Sequence[str]) -> None:
    """Go on only if all these programs are installed here."""
    missing = [name for name in program_names if shutil.which(name) is None]
    if not missing:
        return
    reason = f"this machine has no {', '.join(missing)}; the test needs it"
    if os.environ.get(NEED_ALL) == "1":
        pytest.fail(reason)
    pytest.skip(reason)
