"""How far a check may be driven late before a carrier's office is told, by the carrier's card."""

from triplog.checks import odometer_mm
from triplog.hub.database import Open
from triplog.journal.entries import Entry, entry_of


class Margins:
    """The margins of all carriers, read anew when a card has come."""

    def __init__(self) -> None:
        self._cards: dict[str, int] = {}
        self._margins: dict[str, int | None] = {}

    def now(self, connection: Open) -> dict[str, int]:
        """Each carrier that is told, with its margin in millimetres; as *worker*."""
        cards: dict[str, int] = dict(
            connection.execute(
                "SELECT carrier, count(*) FROM entry WHERE kind = 'carrier_recorded'"
                " GROUP BY carrier"
            ).fetchall()
        )
        for carrier, count in cards.items():
            if self._cards.get(carrier) != count:
                typed = margin_of(connection, carrier)
                self._margins[carrier] = None if typed is None else odometer_mm(typed)
        self._cards = cards
        found = ((carrier, self._margins[carrier]) for carrier in cards)
        return {carrier: margin for carrier, margin in found if margin is not None}


def margin_of(connection: Open, carrier: str) -> str | None:
    """The margin as typed: what the office's own card says, or the newest card that names one.

    Each device brings a card from when it was set up, and most of those say nothing of it. None:
    the office is not told.
    """
    rows = connection.execute(
        "SELECT DISTINCT ON (entry.device) coalesce(device.is_office, false)"
        " OR entry.device = carrier.office OR entry.device = ANY(carrier.former_offices),"
        " entry.data"
        " FROM entry JOIN carrier ON carrier.id = entry.carrier"
        " LEFT JOIN device ON device.id = entry.device"
        " WHERE entry.kind = 'carrier_recorded' AND entry.carrier = %s"
        " ORDER BY entry.device, entry.seq DESC",
        (carrier,),
    ).fetchall()
    cards = [(is_office, entry_of(bytes(data))) for is_office, data in rows]
    of_office = [card for is_office, card in cards if is_office]
    if of_office:
        return _named(max(of_office, key=_when))
    naming = [card for _, card in cards if _named(card) is not None]
    return _named(max(naming, key=_when)) if naming else None


def _when(card: Entry) -> tuple[object, ...]:
    return card.entry_time, card.device, card.seq


def _named(card: Entry) -> str | None:
    typed = card.body.get("office_margin")
    if not isinstance(typed, str):
        return None
    try:
        odometer_mm(typed)
    except ValueError:
        return None
    return typed
