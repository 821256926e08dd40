"""Whatever the checker is fed, it ends soon, in little memory, with an exit code and a sentence."""

import resource
import subprocess
import sys
from pathlib import Path

import pytest

from exports import verify
from tests.exports.attacks.bombs import BOMBS

# Our own limits: processor seconds, and bytes of address space (a bare Python takes about 40 MB).
SECONDS_MAX = 20
MEMORY_MAX = 1 << 30
OUTPUT_MAX = 2 << 20
# Strange, and nothing that is meant is changed: signers nobody knows, a length nobody reads by.
HARMLESS = ("million_signature_lines", "zip_that_says_a_file_is_longer")


def _limits() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS_MAX, SECONDS_MAX))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_MAX, MEMORY_MAX))


@pytest.mark.parametrize("name", BOMBS)
@pytest.mark.parametrize("form", [(), ("--json",)], ids=["text", "json"])
def test_it_ends_with_a_sentence(name: str, form: tuple[str, ...], tmp_path: Path) -> None:
    called = BOMBS[name](tmp_path)
    done = subprocess.run(
        [sys.executable, "-I", str(verify.__file__), *called, *form],
        capture_output=True,
        check=False,
        preexec_fn=_limits,
        timeout=10 * SECONDS_MAX,
    )
    said = done.stdout + done.stderr
    assert done.returncode in ((0,) if name in HARMLESS else (1, 2)), said[-600:]
    assert b"Traceback" not in said
    assert b". " in said or b".\n" in said, "there is no sentence"
    assert len(said) < OUTPUT_MAX
    assert (done.stdout == b"") == (done.returncode == 2)
