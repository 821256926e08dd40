"""Taking in another journal, against putting the same rows into the same tables by themselves."""

import sqlite3
from collections.abc import Iterable
from pathlib import Path

from tests.benchmarks.measure import Figure, seconds
from tests.builders import StandingClock, bulk_store
