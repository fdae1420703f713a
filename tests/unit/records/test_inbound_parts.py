"""Pieces of long texts are kept and joined in any order (3GPP TS 23.040, 9.2.3.24)."""

from dataclasses import replace
from datetime import timedelta
from itertools import permutations

import pytest
from sqlalchemy import select

from gateway_adapters.events import Inbound, Part
from service.outbox.retry import PARTS_WAITED
from service.records.engine import Sessions
from service.records.inbound_parts import join_part, overdue_parts
from service.records.wire import InboundPartRow
from tests.unit.outbox.queue import NOW, PHONE, two_tenants

TEXTS = ("Nimemaliza ", "shamba A ", "jana")


@pytest.fixture
def store(sessions: Sessions) -> Sessions:
    """Two associations, each with a route."""
    two_tenants(sessions)
    return sessions


def piece(number: int, *, total: int = 3, reference: int = 17, sender: str = PHONE) -> Inbound:
    return Inbound(
        event_id=f"{sender}:{reference}:{number}",
        sender=sender,
        to="15050",
        text=TEXTS[number - 1] if number <= len(TEXTS) else "?",
        received_at=NOW,
        part=Part(reference=reference, number=number, total=total),
    )


def take(store: Sessions, *pieces: Inbound, tenant: int = 1) -> list[Inbound]:
    found = []
    for event in pieces:
        with store.begin() as session:
            whole = join_part(session, tenant, tenant, event, now=NOW)
        if whole is not None:
            found.append(whole)
    return found


def overdue(store: Sessions, hours: float, *, tenant: int = 1) -> list[Inbound]:
    with store.begin() as session:
        since = NOW + timedelta(hours=hours) - PARTS_WAITED
        return overdue_parts(session, tenant, tenant, since=since)


@pytest.mark.parametrize("order", list(permutations((1, 2, 3))))
def test_a_text_is_whole_with_its_last_piece(store: Sessions, order: tuple[int, ...]) -> None:
    (whole,) = take(store, *(piece(number) for number in order))

    assert (whole.text, whole.sender, whole.part, whole.lossy) == (
        "Nimemaliza shamba A jana",
        PHONE,
        None,
        False,
    )


def test_a_text_in_one_piece_passes_through(store: Sessions) -> None:
    event = replace(piece(1), part=None)

    assert take(store, event) == [event]


def test_a_piece_that_comes_twice_changes_nothing(store: Sessions) -> None:
    assert take(store, piece(1), piece(1), piece(2)) == []
    assert len(take(store, piece(3), piece(3), piece(1))) == 1


def test_a_reference_may_be_used_again(store: Sessions) -> None:
    take(store, piece(1), piece(2), piece(3))
    again = [replace(piece(number), event_id=f"again:{number}") for number in (1, 2, 3)]

    assert len(take(store, *again)) == 1


def test_pieces_of_two_senders_references_or_totals_are_not_mixed(store: Sessions) -> None:
    others = [piece(2, sender="+255100000002"), piece(2, reference=18), piece(2, total=2)]

    assert take(store, piece(1), piece(3), *others) == []


def test_pieces_of_two_associations_are_not_mixed(store: Sessions) -> None:
    take(store, piece(1), piece(2))

    assert take(store, piece(3), tenant=2) == []


def test_what_lacks_a_piece_for_a_day_is_given_as_it_is_and_once(store: Sessions) -> None:
    take(store, piece(1), piece(3))

    assert overdue(store, 23.9) == []
    assert overdue(store, 24, tenant=2) == []
    (text,) = overdue(store, 24)
    assert (text.text, text.lossy) == ("Nimemaliza jana", True)
    assert overdue(store, 25) == []


@pytest.mark.parametrize(
    "part",
    [
        Part(reference=1, number=3, total=2),
        Part(reference=1, number=0, total=2),
        Part(reference=1, number=1, total=11),
    ],
)
def test_a_piece_that_cannot_be_right_is_a_text_of_its_own(store: Sessions, part: Part) -> None:
    (text,) = take(store, replace(piece(1), part=part))

    assert (text.text, text.part, text.lossy) == ("Nimemaliza ", None, True)
    with store.read() as session:
        assert session.scalars(select(InboundPartRow)).all() == []
