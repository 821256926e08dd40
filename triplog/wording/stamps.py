"""Time-stamps of signed heads in words. English."""

NOT_CHECKED = (
    "the authority's signature was not checked: give its certificate with --authority, or use"
    " `openssl ts -verify`"
)
NO_CERTIFICATE = "it carries no certificate: keep the authority's own beside it"


def delay_text(delay_s: int) -> str:
    """How long after the head was signed it was stamped, the two by two clocks."""
    if delay_s < 0:
        return (
            f"{_span(-delay_s)} before it was signed by this machine's clock: one of the two clocks"
            " is wrong"
        )
    return f"{_span(delay_s)} after it was signed"


def stamped_text(gen_time: str, delay_s: int) -> str:
    """What a time-stamp says: by when, and how late that is."""
    shown = gen_time.replace("T", " ")[:19]
    return f"there no later than {shown} UTC by the authority's clock, {delay_text(delay_s)}"


def waiting_text(asked: bool, waits_s: int) -> str:
    """A head without a time-stamp."""
    what = "asked, no answer yet" if asked else "not asked"
    return f"{what}; signed {_span(waits_s)} ago"


def _span(seconds: int) -> str:
    """A time span: days and hours, hours and minutes, minutes or seconds."""
    if seconds < 60:
        return f"{max(seconds, 0)} s"
    minutes = seconds // 60
    hours, days = minutes // 60, minutes // 1440
    if days:
        return f"{days} d {hours % 24} h"
    return f"{hours} h {minutes % 60:02d} min" if hours else f"{minutes} min"
