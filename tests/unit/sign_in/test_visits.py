"""A visit ends by resting, by lasting, by hand, and when its person is removed."""

import pytest

from service.records.staff import Role, StaffRow, StaffSessionRow
from service.sign_in.staff import remove_staff
from service.sign_in.visits import (
    Visit,
    end_visit,
    end_visits_of,
    open_visit,
    touch_visit,
    visit_of,
    visits_of,
)
from tests.unit.sign_in.gate import BY, Gate

HOUR = 3600


def opened(gate: Gate, staff_id: int, *, tenant: int = 1) -> str:
    staff = gate.row(staff_id, tenant=tenant)
    with gate.sessions.begin() as session:
        return open_visit(session, staff, now=gate.now)


def found(gate: Gate, token: str) -> Visit | None:
    with gate.sessions.read() as session:
        return visit_of(session, token, now=gate.now)


def touch(gate: Gate, token: str) -> None:
    visit = found(gate, token)
    assert visit is not None
    with gate.sessions.begin() as session:
        touch_visit(session, visit, now=gate.now)


def test_a_visit_tells_who_is_asking(gate: Gate) -> None:
    staff_id = gate.added()

    visit = found(gate, opened(gate, staff_id))

    assert visit is not None
    assert (visit.staff_id, visit.association_id, visit.name, visit.shown) == (
        staff_id,
        1,
        "asha.m",
        "Asha.M",
    )
    assert (visit.role, visit.language) == (Role.COORDINATOR, "en")


@pytest.mark.parametrize("token", ["", "chosen by a stranger", "\ud800", "x" * 4000])
def test_a_token_that_was_not_given_out_is_no_visit(gate: Gate, token: str) -> None:
    opened(gate, gate.added())

    assert found(gate, token) is None


def test_each_sign_in_has_a_token_of_its_own_and_only_its_hash_is_kept(gate: Gate) -> None:
    staff_id = gate.added()

    tokens = {opened(gate, staff_id) for _ in range(2)}

    with gate.sessions.read() as session:
        kept = {row.token_hash for row in session.query(StaffSessionRow)}
    assert len(tokens) == len(kept) == 2
    assert tokens.isdisjoint(kept)


def test_a_visit_ends_after_two_hours_without_a_request(gate: Gate) -> None:
    token = opened(gate, gate.added())
    gate.wait(2 * HOUR - 1)
    assert found(gate, token) is not None

    gate.wait(1)

    assert found(gate, token) is None


def test_requests_keep_a_visit_open_but_for_twelve_hours_at_most(gate: Gate) -> None:
    token = opened(gate, gate.added())
    for _ in range(11):
        gate.wait(HOUR)
        touch(gate, token)
    gate.wait(HOUR - 1)
    touch(gate, token)

    gate.wait(1)

    assert found(gate, token) is None


def test_seen_is_written_once_a_minute(gate: Gate) -> None:
    token = opened(gate, gate.added())
    start = gate.now
    gate.wait(59)
    touch(gate, token)
    early = found(gate, token)
    gate.wait(1)
    touch(gate, token)
    late = found(gate, token)

    assert early is not None
    assert late is not None
    assert (early.seen_at, late.seen_at) == (start, gate.now)


def test_a_change_of_role_counts_at_once(gate: Gate) -> None:
    staff_id = gate.added()
    token = opened(gate, staff_id)
    with gate.sessions.begin() as session:
        session.get_one(StaffRow, staff_id).role = Role.ADMIN

    visit = found(gate, token)

    assert visit is not None
    assert visit.role is Role.ADMIN


def test_a_removed_person_has_no_visit(gate: Gate) -> None:
    staff_id = gate.added()
    token = opened(gate, staff_id)
    with gate.sessions.begin() as session:
        remove_staff(session, 1, staff_id, by=BY, now=gate.now)

    assert found(gate, token) is None


def test_one_visit_of_the_list_is_ended_and_the_other_goes_on(gate: Gate) -> None:
    staff_id = gate.added()
    here, there = opened(gate, staff_id), opened(gate, staff_id)
    mine, other = found(gate, here), found(gate, there)
    assert mine is not None
    assert other is not None

    with gate.sessions.begin() as session:
        ended = [
            end_visit(session, mine, session_id=other.session_id, now=gate.now) for _ in range(2)
        ]

    assert ended == [True, False]
    assert (found(gate, here), found(gate, there)) == (mine, None)


def test_nobody_ends_a_visit_of_another(gate: Gate) -> None:
    tokens = [opened(gate, gate.added(name)) for name in ("asha", "juma")]
    elsewhere = opened(gate, gate.added("elsewhere", tenant=2), tenant=2)
    mine = found(gate, tokens[0])
    others = [found(gate, token) for token in (tokens[1], elsewhere)]
    assert mine is not None

    with gate.sessions.begin() as session:
        ended = [
            end_visit(session, mine, session_id=visit.session_id, now=gate.now)
            for visit in others
            if visit is not None
        ]

    assert ended == [False, False]
    assert found(gate, tokens[1]) is not None
    assert found(gate, elsewhere) is not None


def test_all_visits_of_one_person_end_together(gate: Gate) -> None:
    asha, juma = gate.added("asha"), gate.added("juma")
    tokens = [opened(gate, asha), opened(gate, asha), opened(gate, juma)]

    with gate.sessions.begin() as session:
        end_visits_of(session, 1, asha, now=gate.now)

    assert [found(gate, token) is not None for token in tokens] == [False, False, True]


def test_the_list_shows_the_visits_that_go_on_last_seen_first(gate: Gate) -> None:
    staff_id = gate.added()
    opened(gate, staff_id)
    gate.wait(HOUR)
    first = gate.now
    opened(gate, staff_id)
    gate.wait(HOUR)
    last = gate.now
    opened(gate, staff_id)

    with gate.sessions.read() as session:
        listed = visits_of(session, 1, staff_id, now=gate.now)

    assert [visit.opened_at for visit in listed] == [last, first]
