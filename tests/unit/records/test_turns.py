"""Turns at an association: what one transaction has read stays true until it ends."""

from concurrent.futures import ThreadPoolExecutor
from threading import Event

from service.records.engine import Sessions
from service.records.people import AssociationRow
from tests.unit.outbox.queue import two_tenants

PATIENCE_S = 30


def name(sessions: Sessions, association_id: int, *, told: Event, go_on: Event) -> str:
    """Read a name in a turn, tell of it, wait, and lengthen what was read."""
    with sessions.begin(alone=association_id) as session:
        row = session.get_one(AssociationRow, association_id)
        told.set()
        assert go_on.wait(PATIENCE_S)
        row.name = f"{row.name}+"
        return row.name


def test_two_turns_at_one_association_follow_each_other(sessions: Sessions) -> None:
    """Else both would read the old name, and one change would be lost."""
    two_tenants(sessions)
    first, second, go_on = Event(), Event(), Event()

    with ThreadPoolExecutor() as pool:
        one = pool.submit(name, sessions, 1, told=first, go_on=go_on)
        assert first.wait(PATIENCE_S)
        other = pool.submit(name, sessions, 1, told=second, go_on=go_on)
        waited = not second.wait(0.3)
        go_on.set()
        found = [one.result(), other.result()]

    assert waited
    assert found == ["Invented Growers+", "Invented Growers++"]
