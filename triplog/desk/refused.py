"""The desk's exception: what was asked for cannot be recorded, or is not done."""


class Refused(ValueError):
    """What was asked for cannot be recorded; the message says why and what to do."""


class RefusedAndRecorded(Refused):
    """What was asked for is not done, and that it was asked for has been recorded."""
