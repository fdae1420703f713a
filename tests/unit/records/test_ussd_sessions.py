"""Menu sessions are kept once, found by their own association, and forgotten after a day."""

from datetime import timedelta

import pytest

from service.records.ussd import (
    UssdSessionRow,
    add_ussd_session,
    dropped_ussd_session,
    forget_ussd_sessions,
    ussd_session,
)
from tests.world import OTHER_PHONE, PHONE, START, World, an_association
from tests.world_facts import other_association
from tests.world_looks import rows

MINUTE = timedelta(minutes=1)


@pytest.fixture
def kept(world: World) -> World:
    """An association with one open session of a phone, and an empty association."""
    an_association(world)
    world.tick()
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
        add_ussd_session(session, 1, values("one"))
    return world


def values(key: str, **changes: object) -> dict[str, object]:
    """Return the columns of a session that is not finished."""
    return {
        "route_id": 1,
        "session": key,
        "number": PHONE,
        "state": {},
        "shown": [],
        "finished": False,
        "expires_at": START + 5 * MINUTE,
        **changes,
    }


def test_a_session_is_kept_once(kept: World) -> None:
    with kept.services.sessions.begin() as session:
        add_ussd_session(session, 1, values("one", number=OTHER_PHONE))

    assert [row.number for row in rows(kept, UssdSessionRow)] == [PHONE]


@pytest.mark.parametrize(
    ("changes", "found"),
    [
        pytest.param({}, "two", id="open"),
        pytest.param({"finished": True}, "one", id="finished"),
        pytest.param({"expires_at": START}, "one", id="just expired"),
        pytest.param({"number": OTHER_PHONE}, "one", id="of another phone"),
    ],
)
def test_the_newest_that_can_be_gone_on_with_is_found(
    changes: dict[str, object], found: str, kept: World
) -> None:
    later = {"expires_at": START + 6 * MINUTE, **changes}
    with kept.services.sessions.begin() as session:
        add_ussd_session(session, 1, values("two", **later))

    with kept.services.sessions.read() as session:
        row = dropped_ussd_session(session, 1, 1, PHONE, now=START, but="three")

    assert row is not None
    assert row.session == found


def test_a_session_does_not_go_on_with_itself(kept: World) -> None:
    with kept.services.sessions.read() as session:
        assert dropped_ussd_session(session, 1, 1, PHONE, now=START, but="one") is None


def test_old_sessions_are_forgotten_by_their_own_association_only(kept: World) -> None:
    expired = START + 5 * MINUTE
    with kept.services.sessions.begin() as session:
        forget_ussd_sessions(session, 2, 1, before=expired + MINUTE)
        forget_ussd_sessions(session, 1, 1, before=expired)
        assert ussd_session(session, 1, 1, "one") is not None
        forget_ussd_sessions(session, 1, 1, before=expired + MINUTE)
        assert ussd_session(session, 1, 1, "one") is None
