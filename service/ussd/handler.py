"""A step of a USSD session comes in: taken once, kept, and answered by a screen.

The same event again gets the same screen. What a session was dropped at can be gone on with for a
few minutes, by the same phone.
"""

from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256

from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEvent, UssdInput
from service.inbound.keeping import SENDER_CHARACTERS, Route
from service.messages.catalogue import Catalogue
from service.planning.send_window import MENU_KEPT, RESUME_FOR
from service.records.engine import Session
from service.records.plantings import association
from service.records.ussd import (
    UssdSessionRow,
    add_ussd_session,
    dropped_ussd_session,
    forget_ussd_sessions,
    ussd_session,
)
from service.ussd.keys import inputs_of, path_of
from service.ussd.looking import Caller, caller_of
from service.ussd.menu import begin, said, walk
from service.ussd.state import State, state_of
from service.ussd.taking import take_report
from service.ussd.texts import MenuTexts

_SESSION_CHARACTERS = 80
_EVENT_CHARACTERS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Menu:
    """The menu of one route; `most` is the room of its screens in GSM-7 septets."""

    route: Route
    texts: MenuTexts
    catalogue: Catalogue
    most: int


def handle_step(session: Session, menu: Menu, event: UssdEvent, *, now: datetime) -> Screen | None:
    """Take a step of a session once, and return the screen that answers it."""
    tenant, route_id = menu.route.association_id, menu.route.route_id
    key = _short(event.session, _SESSION_CHARACTERS)
    if isinstance(event, UssdEnd):
        _end(ussd_session(session, tenant, route_id, key), now=now)
        return None
    if isinstance(event, UssdBegin):
        forget_ussd_sessions(session, tenant, route_id, before=now - MENU_KEPT)
    row = _row_of(session, menu, key, event.phone, now=now)
    event_id = _short(event.event_id, _EVENT_CHARACTERS)
    for known, text, finish in row.shown:
        if known == event_id:
            return Screen(text=str(text), finish=bool(finish))
    if row.finished and isinstance(event, UssdInput):
        _, text, _ = row.shown[-1]
        return Screen(text=str(text), finish=True)
    screen = _screen(session, menu, row, event, event_id, now=now)
    row.shown = [*row.shown, [event_id, screen.text, screen.finish]]
    row.finished, row.expires_at = screen.finish, now + RESUME_FOR
    return screen


def _screen(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    menu: Menu,
    row: UssdSessionRow,
    event: UssdBegin | UssdInput,
    event_id: str,
    *,
    now: datetime,
) -> Screen:
    tenant = association(session, menu.route.association_id)
    caller = caller_of(session, tenant, event.phone, texts=menu.texts, most=menu.most, now=now)
    state, inputs = _stood(session, menu, row, event, caller, now=now)
    done = walk(state, inputs, caller.facts)
    if done.report is not None:
        answers = take_report(
            session,
            caller,
            done.report,
            route=menu.route,
            event_id=f"ussd:{event_id}",
            catalogue=menu.catalogue,
            now=now,
        )
        done = said(done.state, answers, caller.facts)
    row.state = done.state.as_json()
    return Screen(text=caller.voice.text(done.shown.lines), finish=done.shown.finish)


def _stood(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    menu: Menu,
    row: UssdSessionRow,
    event: UssdBegin | UssdInput,
    caller: Caller,
    *,
    now: datetime,
) -> tuple[State, tuple[str, ...]]:
    """Return where the session stands before this step, and what was typed."""
    kept = state_of(row.state)
    going_on = isinstance(event, UssdInput) and row.expires_at > now
    if going_on and kept is not None:
        return kept, inputs_of(event.text)
    dialled = path_of(event.text, event.code) if isinstance(event, UssdBegin) else ()
    if dialled:
        return begin(caller.facts), dialled
    return begin(caller.facts, before=_dropped(session, menu, row, now=now)), ()


def _dropped(session: Session, menu: Menu, row: UssdSessionRow, *, now: datetime) -> State | None:
    found = dropped_ussd_session(
        session,
        menu.route.association_id,
        menu.route.route_id,
        row.number,
        now=now,
        but=row.session,
    )
    if found is None:
        return None
    found.finished = True  # it is offered once, and lives on in the new one
    return state_of(found.state)


def _row_of(session: Session, menu: Menu, key: str, phone: str, *, now: datetime) -> UssdSessionRow:
    tenant, route_id = menu.route.association_id, menu.route.route_id
    fresh: dict[str, object] = {
        "number": phone[:SENDER_CHARACTERS],
        "state": {},
        "shown": [],
        "finished": False,
        "expires_at": now,
    }
    add_ussd_session(session, tenant, {"route_id": route_id, "session": key, **fresh})
    row = ussd_session(session, tenant, route_id, key)
    if row is None:
        raise LookupError("a session that was just kept is not there")
    if row.number != fresh["number"]:
        # a gateway may give a session's key out again: nothing of the other phone is shown
        for name, value in fresh.items():
            setattr(row, name, value)
    return row


def _end(row: UssdSessionRow | None, *, now: datetime) -> None:
    if row is not None and not row.finished:
        row.expires_at = now + RESUME_FOR


def _short(key: str, most: int) -> str:
    return key if len(key) <= most else sha256(key.encode()).hexdigest()
