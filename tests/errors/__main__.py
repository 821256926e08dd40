"""`python -m tests.errors --write` writes the gallery and all transcripts anew, as printed now."""

import sys

from tests.errors.gallery import write_everything

if sys.argv[1:] != ["--write"]:
    sys.exit("python -m tests.errors --write writes tests/errors and tests/cli/transcripts anew")
for path in write_everything():
    print(f"changed: {path}")
