"""What changes one association's staff leaves every other's as they are."""

from collections.abc import Callable
from datetime import UTC, datetime

import pytest

from service.records.engine import Session
from service.records.staff_links import end_links, use_link
from service.records.staff_queries import (
    add_codes,
    remove_staff_row,
    set_language,
    set_password,
    set_totp,
    take_step,
    use_code,
)
from service.records.staff_sessions import end_session, end_sessions, see_session
from tests.everything import everything
from tests.unit.records.full_staff import CODE_HASH, LINK_ID, SESSION_ID, STAFF_ID, full_staff
from tests.world import World, an_association
from tests.world_facts import other_association

LATER = datetime(2027, 3, 25, 9, 0, tzinfo=UTC)
Write = Callable[[Session, int], object]

CHANGES: dict[str, Write] = {
    "end links": lambda session, tenant: end_links(session, tenant, STAFF_ID, now=LATER),
    "use a link": lambda session, tenant: use_link(session, tenant, LINK_ID, now=LATER),
    "set a password": lambda session, tenant: set_password(
        session,
        tenant,
        STAFF_ID,
        password_hash="hash",  # noqa: S106 -- stands for a hash, opens nothing
    ),
    "set a second factor": lambda session, tenant: set_totp(
        session, tenant, STAFF_ID, sealed="sealed", step=2
    ),
    "set a language": lambda session, tenant: set_language(
        session, tenant, STAFF_ID, language="sw"
    ),
    "take a step": lambda session, tenant: take_step(session, tenant, STAFF_ID, step=2),
    "use a code": lambda session, tenant: use_code(
        session, tenant, STAFF_ID, code_hash=CODE_HASH, now=LATER
    ),
    "drop the codes": lambda session, tenant: add_codes(session, tenant, STAFF_ID, [], now=LATER),
    "remove a person": lambda session, tenant: remove_staff_row(
        session, tenant, STAFF_ID, now=LATER
    ),
    "see a visit": lambda session, tenant: see_session(session, tenant, SESSION_ID, now=LATER),
    "end a visit": lambda session, tenant: end_session(
        session, tenant, STAFF_ID, session_id=SESSION_ID, now=LATER
    ),
    "end all visits": lambda session, tenant: end_sessions(session, tenant, STAFF_ID, now=LATER),
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_change_of_the_staff_reaches_the_own_rows_only(world: World, name: str) -> None:
    an_association(world)
    full_staff(world)
    sessions = world.services.sessions
    with sessions.begin() as session:
        session.add(other_association(world.clock()))
    before = everything(sessions.engine)
    with sessions.begin() as session:
        answer = CHANGES[name](session, 2)
    after_foreign = everything(sessions.engine)
    with sessions.begin() as session:
        CHANGES[name](session, 1)

    assert not answer
    assert after_foreign == before
    assert everything(sessions.engine) != before


@pytest.mark.parametrize("name", ["use a link", "take a step", "use a code", "end a visit"])
def test_what_counts_once_says_so(world: World, name: str) -> None:
    an_association(world)
    full_staff(world)

    with world.services.sessions.begin() as session:
        answers = [CHANGES[name](session, 1) for _ in range(2)]

    assert answers == [True, False]
