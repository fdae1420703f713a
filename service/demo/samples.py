"""A few of the season's texts, for reading aloud: each kind, in each language it went out in."""

from service.bootstrap import Services
from service.planning.send_window import zone_of
from service.records.plantings import associations
from service.records.season_report import all_messages

AT_MOST = 48


def samples(services: Services) -> list[str]:
    """Return one text of each kind and language, in the order of the season."""
    lines: list[str] = []
    seen: set[tuple[str, str, bool]] = set()
    held = {text.token: text for text in services.pretend_phones().texts()}
    with services.sessions.read() as session:
        row = associations(session)[0]
        zone = zone_of(row.zone)
        for message in all_messages(session, row.id):
            look = (message.kind, message.language, message.fields.get("shared") is True)
            text = held.get(message.token or "")
            if text is None or look in seen:
                continue
            seen.add(look)
            lines.append(f"{text.at.astimezone(zone):%d %b %H:%M} {message.kind:<18} {text.text}")
    return lines[:AT_MOST]
