"""From the entry of a photo to its row of the derived tables. Pure."""

from collections.abc import Iterator, Mapping
from typing import cast

from triplog.journal.derived import PhotoRow
from triplog.journal.entries import Body

_PLAIN = (
    *("digest", "file", "bytes", "media_type", "width_px", "height_px", "shows", "taken_at"),
    *("taken_offset_min", "taken_time_source", "difference_s", "difference_offset_min"),
    "original_digest",
)
_LISTS = ("tie_downs", "gear", "taken_out")


def photo_rows(
    when: Mapping[str, object], body: Body
) -> Iterator[tuple[type[PhotoRow], dict[str, object]]]:
    """The row of a photo; `when`: its entry, trip, times and who made it."""
    times = {name: value for name, value in when.items() if name != "time_doubt"}
    plain = {name: body.get(name) for name in _PLAIN}
    lists = {name: ", ".join(cast(list[str], body.get(name, []))) or None for name in _LISTS}
    yield PhotoRow, times | plain | lists
