"""What came in from a phone, as it is kept: a text, or the choice in a menu that says the same."""

from dataclasses import dataclass
from datetime import datetime

from service.inbound.reply_codes import Reading
from service.records.phones import PhoneBundle
from service.records.traffic import InboundRow

KEPT_CHARACTERS = 1000
SENDER_CHARACTERS = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """The way something came in: its tenant is the route's."""

    association_id: int
    route_id: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """What came in; `event_id` is unique for the route."""

    event_id: str
    sender: str
    text: str
    by_menu: bool = False


def inbound_values(
    route: Route, phone: PhoneBundle | None, came: Came, *, now: datetime
) -> dict[str, object]:
    """Return the row to be kept; what it means is noted once it is read."""
    return {
        "association_id": route.association_id,
        "route_id": route.route_id,
        "event_id": came.event_id,
        "phone_id": None if phone is None else phone.phone.id,
        "sender": came.sender[:SENDER_CHARACTERS],
        "text": came.text[:KEPT_CHARACTERS],
        "by_menu": came.by_menu,
        "received_at": now,
        "meaning": "",
        "hint": "",
        "to_read": False,
        "pauses": False,
        "plots": "",
        "read_at": None,
        "read_by": None,
    }


def note_reading(kept: InboundRow, reading: Reading) -> None:
    """Write beside what came in how it was read."""
    kept.meaning = reading.meaning.value
    items = " ".join(
        f"{item.plot or ''}{item.dose or item.can or ''}-{item.days_ago}" for item in reading.items
    )
    kept.hint = (reading.hint or items)[:40]
