"""Texts that wait: seen as the parser sees them, and offered nothing that would be refused."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from service.confirmations.outcomes import NeedsReading
from service.inbound.reading_acts import take_reading
from service.inbound.reply_codes import Meaning
from service.inbound.settling import Reader
from service.inbound.situation import situation_of
from service.inbound.waiting_texts import WaitingText, waiting_texts
from service.planning.drafts import language_of
from service.planning.send_window import local_day
from service.records.engine import Session
from service.records.inbox import reading_list
from service.records.people import Consent
from service.records.plantings import association
from tests.world import OTHER_PHONE, PHONE, ZONE, World, enrol, tick_through
from tests.world_facts import another_can, another_plot

TEXTS = (
    "done perhaps",
    "done 9 days ago perhaps",
    "up 3 days ago perhaps A",
    "planted 2 days ago perhaps A",
    "rain A D perhaps",
    "can 1 2 days ago perhaps",
    "yes or no",
)


def waiting(session: Session) -> list[WaitingText]:
    """Return the texts that wait, as the reading list has them."""
    return waiting_texts(session, association(session, 1), reading_list(session, 1))


@pytest.fixture
def filled(tmp_path: Path) -> World:
    """Two phones that share nothing, one that two homes share, and texts on many days."""
    world = World(folder=tmp_path)
    first = enrol(world, language="sw")
    another_plot(world, first, letter="D", planted_on=date(2027, 3, 29))
    another_can(world, first, number=2, sealed_on=date(2027, 4, 1))
    enrol(world, code="H02", number=OTHER_PHONE, letter="A", can=3, sealed_on=None)
    enrol(world, code="H03", number=OTHER_PHONE, letter="D", can=4)
    return world


def test_a_text_is_seen_in_the_situation_that_the_parser_saw(filled: World) -> None:
    enrol(filled, code="H04", number="+255100000004", can=5, consent=Consent.VERBAL)
    for day in ("2027-03-15", "2027-03-22", "2027-04-03", "2027-04-12", "2027-05-01"):
        tick_through(filled, date.fromisoformat(day), date.fromisoformat(day), hours=("18:00",))
        for number in (PHONE, OTHER_PHONE, "+255100000004"):
            filled.text(f"perhaps A or so {day}", number=number, at=f"{day}T19:00")
    with filled.services.sessions.read() as session:
        row = association(session, 1)
        seen = waiting(session)
        for text in seen:
            assert text.phone is not None
            parsed = situation_of(
                session,
                row,
                text.phone,
                language=language_of(text.phone),
                now=text.row.received_at,
            )
            assert text.situation.context == replace(
                parsed.context, sent=(), shared=text.phone.shared
            )
            assert text.situation.cans == parsed.cans
    filled.close()
    assert len(seen) == 15


@pytest.mark.parametrize(
    "day", ["2027-03-14", "2027-03-16", "2027-03-20", "2027-04-02", "2027-04-11", "2027-05-20"]
)
def test_no_reading_that_is_offered_is_refused(filled: World, day: str) -> None:
    filled.tick(f"{day}T06:00")
    if day > "2027-04-05":
        filled.text("A2 1", at=f"{day}T07:00")
    for minute, words in enumerate(TEXTS):
        for number in (PHONE, OTHER_PHONE):
            filled.text(words, number=number, at=f"{day}T08:{minute:02d}")
    filled.tick(f"{day}T18:00")
    taken: list[Meaning] = []
    sessions = filled.services.sessions
    with sessions.read() as session:
        offered = [(text.row.id, r) for text in waiting(session) for r in text.readings]
    for text_id, reading in offered:
        with sessions.read() as session:  # never committed: each is taken on the same ground
            text = next(item for item in waiting(session) if item.row.id == text_id)
            reader = Reader(
                session=session,
                association=association(session, 1),
                who="Neema Test",
                today=local_day(filled.clock(), ZONE),
                now=filled.clock(),
            )
            outcome = take_reading(reader, text, reading)
            session.rollback()
            assert not isinstance(outcome, NeedsReading), (text.row.text, reading)
            taken.append(reading.meaning)
    filled.close()
    assert taken


def test_what_would_be_refused_is_not_offered(filled: World) -> None:
    filled.text("A UP", at="2027-03-21T09:00")
    tick_through(filled, date(2027, 3, 28), date(2027, 4, 4), hours=("18:00",))
    filled.text("A2 1", at="2027-04-05T09:00")
    filled.text("done 9 days ago perhaps A", at="2027-04-05T10:00")
    filled.text("up 9 days ago perhaps D", at="2027-04-05T11:00")
    filled.text("can 2 perhaps 3 days ago", at="2027-04-05T12:00")
    with filled.services.sessions.read() as session:
        offered = {
            (text.row.text[:4], reading.meaning, item.days_ago)
            for text in waiting(session)
            for reading in text.readings
            for item in reading.items
        }
    filled.close()
    assert ("done", Meaning.DONE, 9) not in offered
    assert ("up 9", Meaning.UP, 9) not in offered
    assert not any(meaning is Meaning.SEALED for _, meaning, _ in offered)
