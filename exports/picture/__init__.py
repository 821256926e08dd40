"""Picture files (JPEG, PNG): what they are, when they say they were taken, a copy without places.

Knows no trips. Start with `reading.py`; `jpeg.py`, `png.py` and `exif.py` are pure, bytes in and
bytes out; `thumbnail.py` makes the small grey pictures of a printed page.
"""
