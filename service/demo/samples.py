"""A few of the season's texts, for reading aloud: each kind, in each language it went out in."""

from datetime import datetime

from service.bootstrap import Services
from service.demo.phones import Phones
from service.planning.send_window import zone_of
from service.records.plantings import associations
from service.records.season_report import all_messages


def samples(services: Services, phones: Phones) -> list[str]:
    """Return one text of each kind and language, in the order of the season."""
    seen: set[tuple[str, str]] = set()
    found: list[tuple[datetime, str]] = []
    held = {text.token: text for text in phones.texts()}
    with services.sessions.read() as session:
        row = associations(session)[0]
        zone = zone_of(row.zone)
        for message in all_messages(session, row.id):
            look = (message.kind, message.language)
            text = held.get(message.token or "")
            if text is None or look in seen:
                continue
            seen.add(look)
            at = text.at.astimezone(zone)
            found.append((at, f"{at:%d %b %H:%M} {message.kind:<18} {text.text}"))
    return [line for _, line in sorted(found)]
