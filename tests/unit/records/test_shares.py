"""Shares of an association: each household in one, with all that phones join to it."""

from collections import Counter
from datetime import UTC, datetime
from threading import Event

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import select

from service.records import shares
from service.records.engine import Session, Sessions
from service.records.people import HouseholdPhoneRow, HouseholdRow, PhoneRow
from service.records.shares import (
    PlanShareRow,
    circles,
    ensure_shares,
    households_of_share,
    take_oldest_share,
    take_share,
)
from tests.unit.outbox.queue import two_tenants

NOW = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)
EARLIER = datetime(2027, 3, 14, 14, 0, tzinfo=UTC)
LATER = datetime(2027, 3, 14, 16, 0, tzinfo=UTC)
PAIRS = st.lists(st.tuples(st.integers(1, 9), st.integers(1, 30)), max_size=40)


@given(PAIRS)
def test_circles_part_the_households_so_that_no_phone_serves_two(
    links: list[tuple[int, int]],
) -> None:
    found = circles(range(1, 31), links)

    assert Counter(home for circle in found for home in circle) == Counter(range(1, 31))
    assert [min(circle) for circle in found] == sorted(min(circle) for circle in found)
    served: dict[int, set[int]] = {}
    for phone, home in links:
        served.setdefault(phone, set()).add(home)
    for homes in served.values():
        assert sum(bool(circle & homes) for circle in found) == 1


@given(PAIRS)
def test_a_circle_holds_only_what_phones_join(links: list[tuple[int, int]]) -> None:
    """Checked by walking from one member to all others, a phone at a time."""
    for circle in circles(range(1, 31), links):
        reached, waiting = set[int](), [min(circle)]
        while waiting:
            home = waiting.pop()
            reached.add(home)
            phones = {phone for phone, other in links if other == home}
            waiting += [other for phone, other in links if phone in phones and other not in reached]
        assert reached == circle


def settle_in(session: Session, homes: int, links: list[tuple[int, int]]) -> None:
    """Add households 1 to `homes` to association 1, and phones from 101 on that serve them."""
    for number in range(2, homes + 1):
        session.add(_household(session, number))
    session.flush()
    for phone in sorted({phone for phone, _ in links}):
        session.add(
            PhoneRow(
                id=phone,
                association_id=1,
                number=f"+2551000009{phone - 100:02}",
                typed="",
                language="en",
                muted_until=None,
                recorded_at=NOW,
            )
        )
    session.flush()
    session.add_all(
        HouseholdPhoneRow(association_id=1, phone_id=phone, household_id=home)
        for phone, home in links
    )


def _household(session: Session, number: int) -> HouseholdRow:
    known = session.scalars(select(HouseholdRow).where(HouseholdRow.association_id == 1)).first()
    assert known is not None
    columns = HouseholdRow.__table__.columns.keys()
    own = {name: getattr(known, name) for name in columns}
    return HouseholdRow(**own | {"id": 10 * number, "code": f"X{number}", "alias": f"X{number}"})


@pytest.fixture
def small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a few households make several blocks."""
    monkeypatch.setattr(shares, "HOUSEHOLDS_A_BLOCK", 50)


@pytest.mark.usefixtures("small_blocks")
def test_the_shares_hold_each_household_once_whatever_phones_join(sessions: Sessions) -> None:
    two_tenants(sessions)
    # a scatter of phones over households: 7 and 11 have nothing in common with 12 and 39
    links = sorted({(101 + 7 * turn % 12, 20 + 10 * (11 * turn**2 % 39)) for turn in range(30)})
    with sessions.begin() as session:
        settle_in(session, 40, links)

    with sessions.begin() as session:
        blocks = ensure_shares(session, 1)
        found = [households_of_share(session, 1, block) for block in blocks]
        all_homes = session.scalars(
            select(HouseholdRow.id).where(HouseholdRow.association_id == 1)
        ).all()

    assert len(blocks) > 4
    assert Counter(home for share in found for home in share) == Counter(all_homes)
    for phone in {phone for phone, _ in links}:
        homes = {home for other, home in links if other == phone}
        assert sum(bool(homes & set(share)) for share in found) == 1


def test_a_share_gets_its_row_once(sessions: Sessions) -> None:
    two_tenants(sessions)

    for _ in range(2):
        with sessions.begin() as session:
            assert ensure_shares(session, 1) == [0]
            assert session.query(PlanShareRow).filter_by(association_id=1).count() == 1


@pytest.mark.parametrize(
    ("planned", "taken"),
    [
        pytest.param([None, EARLIER], 0, id="one that was never planned comes first"),
        pytest.param([NOW, EARLIER], 1, id="then the one that waited longest"),
        pytest.param([NOW, NOW], None, id="what was planned just now is left alone"),
        pytest.param([LATER, NOW], 0, id="a time still to come was told by a wrong clock"),
    ],
)
def test_the_share_that_waited_longest_is_taken(
    sessions: Sessions, planned: list[datetime | None], taken: int | None
) -> None:
    two_tenants(sessions)
    with sessions.begin() as session:
        for block, planned_at in enumerate(planned):
            session.add(PlanShareRow(association_id=1, block=block, planned_at=planned_at))
            session.add(PlanShareRow(association_id=2, block=block, planned_at=None))

    with sessions.begin() as session:
        found = take_oldest_share(session, 1, before=NOW, now=NOW)

        assert (None if found is None else (found.association_id, found.block)) == (
            None if taken is None else (1, taken)
        )


def test_a_share_is_taken_by_its_block(sessions: Sessions) -> None:
    two_tenants(sessions)
    with sessions.begin() as session:
        ensure_shares(session, 1)
        ensure_shares(session, 2)

    with sessions.begin() as session:
        assert take_share(session, 1, 0).association_id == 1
        assert take_share(session, 2, 0).association_id == 2


def test_what_one_planner_holds_another_leaves_to_it(sessions: Sessions) -> None:
    """Only PostgreSQL lets two write at once; on SQLite the second waits for the first."""
    if sessions.engine.dialect.name != "postgresql":
        pytest.skip("one writer at a time")
    two_tenants(sessions)
    with sessions.begin() as session:
        for block in range(2):
            session.add(PlanShareRow(association_id=1, block=block, planned_at=None))

    with sessions.begin(beside=1) as one, sessions.begin(beside=1) as other:
        first = take_oldest_share(one, 1, before=NOW, now=NOW)
        second = take_oldest_share(other, 1, before=NOW, now=NOW)
        third = take_oldest_share(other, 1, before=NOW, now=NOW)

        assert (first and first.block, second and second.block) == (0, 1)
        assert third is second


def test_planners_side_by_side_wait_for_whoever_has_the_turn_alone(sessions: Sessions) -> None:
    if sessions.engine.dialect.name != "postgresql":
        pytest.skip("one writer at a time")
    from concurrent.futures import ThreadPoolExecutor  # noqa: PLC0415 -- here alone

    begun = Event()

    def beside() -> None:
        with sessions.begin(beside=1):
            begun.set()

    with ThreadPoolExecutor() as pool:
        with sessions.begin(alone=1):
            planner = pool.submit(beside)
            waited = not begun.wait(0.3)
        planner.result(30)

    assert waited
    assert begun.is_set()
