"""Texts that wait unread while the clock is in doubt."""

from dataclasses import replace

import pytest

from gateway_adapters.events import Inbound
from service.records.engine import Sessions
from service.records.parked_texts import park_text, take_parked
from tests.unit.outbox.queue import NOW, PHONE, two_tenants

FIRST = Inbound(event_id="a", sender=PHONE, to="15050", text="A1", received_at=NOW)
SECOND = replace(FIRST, event_id="b", text="STOP", lossy=True)


@pytest.fixture
def store(sessions: Sessions) -> Sessions:
    """Two associations, each with a route."""
    two_tenants(sessions)
    return sessions


def park(store: Sessions, *events: Inbound, tenant: int = 1) -> None:
    with store.begin() as session:
        for event in events:
            park_text(session, tenant, tenant, event)


def taken(store: Sessions, tenant: int = 1) -> list[Inbound]:
    with store.begin() as session:
        return take_parked(session, tenant, tenant)


def test_texts_come_back_as_they_came_and_in_order_and_once(store: Sessions) -> None:
    park(store, FIRST, SECOND, FIRST)

    assert (taken(store), taken(store)) == ([FIRST, SECOND], [])


def test_each_association_has_its_own(store: Sessions) -> None:
    park(store, FIRST)
    park(store, FIRST, tenant=2)

    assert taken(store, 2) == [FIRST]
    assert taken(store) == [FIRST]


def test_a_text_that_is_too_long_is_kept_as_far_as_there_is_room(store: Sessions) -> None:
    park(store, replace(FIRST, text="x" * 2500, sender="y" * 40, to="z" * 40))

    (text,) = taken(store)
    assert (text.text, text.sender, text.to) == ("x" * 2000, "y" * 32, "z" * 32)
