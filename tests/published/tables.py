"""Reading the small tables of printed values that lie beside these tests."""

import csv
from pathlib import Path

DATA = Path(__file__).parent / "data"


def rows_of(name: str) -> list[dict[str, str]]:
    """The rows of `data/name.csv`; lines that begin with # say where the table is from."""
    lines = (DATA / f"{name}.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))
