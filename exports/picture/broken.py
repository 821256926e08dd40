"""Why a picture is not taken in."""

CUT_OFF = "its end is missing: it was cut off while it was copied"
PARTS_MAX = 50_000
"""So many parts no camera writes; walking through more would take long for nothing."""


class PictureBroken(ValueError):
    """The file is no picture that can be kept; the message says why, of "it"."""
