"""By which route a text goes, and what moves on to another. Project choice: no outside source."""

from datetime import timedelta

import pytest
from sqlalchemy import select

from gateway_adapters.contract import Accepted, Ambiguous, Outcome, Rejected, RejectKind, Scope
from service.messages.lifecycle import State
from service.outbox.retry import PATIENCE, ROUTE_REST
from service.outbox.routing import Way, choose_route
from service.outbox.ways import move_on, ways
from service.records.engine import Sessions
from service.records.routes import RouteFacts, ensure_route, retire_others, switch_route
from service.records.traffic import MessageRow, RouteRow
from tests.unit.outbox.queue import NOW, PHONE, answer, claimed, message, queued, steps

CATCH_ALL = Way(route_id=1, prefixes=(), cost=3.0, is_open=True)
NEAR = Way(route_id=2, prefixes=("+25510", "+25520"), cost=2.0, is_open=True)
CHEAP = Way(route_id=3, prefixes=("+25510",), cost=1.0, is_open=True)
CLOSED = Way(route_id=4, prefixes=("+255100",), cost=0.5, is_open=False)


@pytest.mark.parametrize(
    ("ways", "route_id"),
    [
        pytest.param([CATCH_ALL], 1, id="the only one"),
        pytest.param([CATCH_ALL, NEAR], 2, id="the longer prefix"),
        pytest.param([NEAR, CHEAP], 3, id="of equal prefixes the cheaper"),
        pytest.param([CATCH_ALL, CLOSED], 1, id="an open one before a better one that is closed"),
        pytest.param([CLOSED], 4, id="a closed one, where there is no other"),
    ],
)
def test_the_route_of_a_number(ways: list[Way], route_id: int) -> None:
    assert choose_route(PHONE, ways) == route_id


def test_a_number_that_no_prefix_names_goes_by_the_cheapest() -> None:
    assert choose_route("+254700000001", [NEAR, CHEAP]) == 3


def test_an_association_without_a_route_cannot_send() -> None:
    with pytest.raises(ValueError, match="without a route"):
        choose_route(PHONE, [])


def another_route(
    sessions: Sessions,
    *,
    cost: float = 0,
    prefixes: tuple[str, ...] = (),
    daily_segments: int | None = None,
) -> int:
    facts = RouteFacts(
        name="spare",
        adapter="fake",
        sender="15051",
        rate_per_s=10,
        cost=cost,
        prefixes=prefixes,
        daily_segments=daily_segments,
    )
    with sessions.begin() as session:
        return ensure_route(session, 1, facts, now=NOW).id


def stopped(sessions: Sessions, route_id: int = 1) -> None:
    with sessions.begin() as session:
        assert switch_route(session, 1, route_id, stop=True, who="Neema", now=NOW)


def moved(sessions: Sessions) -> int:
    with sessions.begin() as session:
        return move_on(session, 1, ways(session, 1, now=NOW), now=NOW)


def test_what_waits_at_a_stopped_route_moves_on(outbox: Sessions) -> None:
    message_id = queued(outbox)
    spare = another_route(outbox)
    stopped(outbox)

    assert moved(outbox) == 1
    assert message(outbox, message_id).route_id == spare
    assert steps(outbox, message_id)[-1] == ("reroute", "queued")


def test_without_another_route_it_waits(outbox: Sessions) -> None:
    message_id = queued(outbox)
    stopped(outbox)

    assert moved(outbox) == 0
    assert message(outbox, message_id).route_id == 1


def test_what_may_have_left_is_never_moved(outbox: Sessions) -> None:
    message_id = queued(outbox)
    answer(outbox, claimed(outbox), Ambiguous(reason="silence"))
    another_route(outbox)
    stopped(outbox)

    assert moved(outbox) == 0
    assert (message(outbox, message_id).state, message(outbox, message_id).route_id) == (
        State.UNKNOWN,
        1,
    )


@pytest.mark.parametrize(
    ("pause_s", "moves"), [(PATIENCE.total_seconds(), 0), (PATIENCE.total_seconds() + 1, 1)]
)
def test_a_short_pause_is_waited_out(outbox: Sessions, pause_s: float, moves: int) -> None:
    queued(outbox)
    refusal = Rejected(
        kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="not-sent", retry_after_s=pause_s
    )
    answer(outbox, claimed(outbox), refusal)
    another_route(outbox)

    assert moved(outbox) == moves


def test_a_route_that_the_settings_no_longer_name_gives_its_texts_away(outbox: Sessions) -> None:
    message_id = queued(outbox)
    spare = another_route(outbox)
    with outbox.begin() as session:
        retire_others(session, 1, {"spare"})

    assert moved(outbox) == 1
    assert message(outbox, message_id).route_id == spare


def test_a_route_comes_back_with_the_settings(outbox: Sessions) -> None:
    spare = another_route(outbox)
    with outbox.begin() as session:
        retire_others(session, 1, {"main"})
    another_route(outbox, cost=2.5, prefixes=("+25571",), daily_segments=9)

    with outbox.read() as session:
        row = session.get_one(RouteRow, spare)
        assert (row.retired, row.cost, row.prefixes, row.daily_segments) == (
            False,
            2.5,
            ["+25571"],
            9,
        )


def test_a_stopped_route_sends_nothing_until_it_goes_on(outbox: Sessions) -> None:
    queued(outbox)
    stopped(outbox)
    with outbox.begin() as session:
        assert not switch_route(session, 1, 1, stop=True, who="Juma", now=NOW)
        row = session.get_one(RouteRow, 1)
        assert (row.stopped_at, row.stopped_by) == (NOW, "Neema")
    with pytest.raises(AssertionError):
        claimed(outbox)

    with outbox.begin() as session:
        assert switch_route(session, 1, 1, stop=False, who="Neema", now=NOW)

    assert len(claimed(outbox).messages) == 1


def test_texts_of_another_association_stay_where_they_are(outbox: Sessions) -> None:
    queued(outbox, "theirs")
    another_route(outbox)
    with outbox.begin() as session:
        for row in session.scalars(select(MessageRow)):
            row.association_id = row.route_id = 2
    stopped(outbox)

    assert moved(outbox) == 0


def test_the_pause_counts_from_now(outbox: Sessions) -> None:
    with outbox.begin() as session:
        session.get_one(RouteRow, 1).paused_until = NOW + timedelta(hours=1)
        (way,) = ways(session, 1, now=NOW)
        (later,) = ways(session, 1, now=NOW + timedelta(hours=1))

    assert (way.is_open, later.is_open) == (False, True)


def refuse(sessions: Sessions, key: str, outcome: Outcome) -> None:
    queued(sessions, key)
    made = claimed(sessions)
    answer(sessions, made, *[outcome for _ in made.messages])


def test_a_route_that_refuses_five_in_a_row_is_rested(outbox: Sessions) -> None:
    no = Rejected(kind=RejectKind.PERMANENT, code="refused")
    another_route(outbox)
    for number in range(4):
        refuse(outbox, f"jobs:{number}", no)
    with outbox.read() as session:
        assert [way.is_open for way in ways(session, 1, now=NOW)] == [True, True]

    refuse(outbox, "jobs:5", no)
    waiting = queued(outbox, "jobs:6")

    with outbox.read() as session:
        row = session.get_one(RouteRow, 1)
        assert (row.paused_for, row.paused_until) == ("refused too often", NOW + ROUTE_REST)
    assert moved(outbox) == 1
    assert message(outbox, waiting).route_id == 2 + 1


def test_refusals_are_counted_in_a_row(outbox: Sessions) -> None:
    no, taken = Rejected(kind=RejectKind.PERMANENT), Accepted(gateway_ids=("g",))
    answers: list[Outcome] = [no, no, no, no, taken, no, no, no, no]
    for number, outcome in enumerate(answers):
        refuse(outbox, f"jobs:{number}", outcome)

    with outbox.read() as session:
        assert session.get_one(RouteRow, 1).paused_until is None


def test_being_asked_to_go_slower_is_no_refusal(outbox: Sessions) -> None:
    slower = Rejected(kind=RejectKind.THROTTLED, scope=Scope.MESSAGE, retry_after_s=1)
    for number in range(6):
        with outbox.begin() as session:
            session.get_one(RouteRow, 1).paused_until = None
        refuse(outbox, f"jobs:{number}", slower)

    with outbox.read() as session:
        assert session.get_one(RouteRow, 1).refusals == 0


def test_of_several_refusals_in_a_batch_the_longest_rest_stands(outbox: Sessions) -> None:
    for number in range(2):
        queued(outbox, f"jobs:{number}")
    waits = [
        Rejected(
            kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code=f"wait-{wait}", retry_after_s=wait
        )
        for wait in (600, 60)
    ]

    answer(outbox, claimed(outbox), *waits)

    with outbox.read() as session:
        row = session.get_one(RouteRow, 1)
        assert (row.paused_until, row.paused_for) == (NOW + timedelta(seconds=600), "wait-600")
