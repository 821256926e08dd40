"""The desk's one exception: what was asked for cannot be recorded."""


class Refused(ValueError):
    """What was asked for cannot be recorded; the message says why and what to do."""
