"""How the demo stands when it opens: most growers have agreed, and a morning's work waits."""

from datetime import datetime

from service.bootstrap import Services
from service.records.engine import Session
from service.records.phones import PhoneBundle, phones
from service.records.plantings import associations
from service.records.pretend import move_pretend_clock

YES = {"en": "YES", "sw": "NDIYO"}
EVERY = 8  # of eight phones one has not answered its invitation yet
STRANGER = "+255100000060"


def open_demo(services: Services, *, asked_at: datetime, opens_at: datetime) -> None:
    """Let the growers answer their invitations, and some text in the morning; only once.

    Invitations go at `asked_at`, answers come at once; the demo's time then stands at `opens_at`.
    """
    pretend = services.pretend_phones()
    if pretend.submitted():
        return
    _at(services, asked_at)
    with services.sessions.read() as session:
        known = _phones(session)
    to = services.settings.route.sender
    for place, bundle in enumerate(known):
        if place % EVERY:
            pretend.answer(bundle.phone.number, YES.get(bundle.phone.language, "YES"), to=to)
    services.step()
    _at(services, opens_at)
    pretend.answer(known[1].phone.number, "we will start next week, is that good?", to=to)
    pretend.answer(STRANGER, "JOIN", to=to)
    services.step()


def _at(services: Services, now: datetime) -> None:
    with services.sessions.begin() as session:
        move_pretend_clock(session, now)
    services.step()


def _phones(session: Session) -> list[PhoneBundle]:
    return phones(session, associations(session)[0].id)
