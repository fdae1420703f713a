"""A worker that overslept, one whose database is away for a while, one that is asked to end."""

from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy.exc import OperationalError
from typing_extensions import override

from gateway_adapters.contract import Rejected, RejectKind, Scope
from service.dispatch.dispatcher import LEASE_S, SETTLE_AGAIN_S, Dispatcher, Watch
from service.messages.lifecycle import State
from service.outbox.due import Due
from service.outbox.overdue import lapse_leases
from service.records.engine import Session, Sessions
from service.records.traffic import ClaimRow, RouteRow
from tests.unit.dispatch.sending import at, due, lane
from tests.unit.outbox.queue import a_draft, later, plain, put
from tests.world import World, an_association
from tests.world_looks import messages, rows, states


class Away(Sessions):
    """A database that is away for so many transactions, from a moment on."""

    def __init__(self, world: World) -> None:
        super().__init__(world.services.sessions.engine)
        self.faults = 0

    @override
    @contextmanager
    def begin(self, *, alone: int | None = None, beside: int | None = None) -> Iterator[Session]:
        """Give a session, or fail as a lost connection does."""
        if self.faults:
            self.faults -= 1
            raise OperationalError("", None, ConnectionError("the server is gone"))
        with super().begin(alone=alone, beside=beside) as session:
            yield session


def many_due(world: World, many: int) -> None:
    an_association(world)
    at(world, "2027-03-14T18:00")
    route_id = lane(world).route_id
    drafts = [
        a_draft(f"x{number}", route_id=route_id, phone_id=None, kind="help", evening=None)
        for number in range(many)
    ]
    put(world.services.sessions, *drafts, now=world.clock())


def dispatcher(world: World, sessions: Sessions | None = None, **watch: object) -> Dispatcher:
    usual = Watch(clock=world.clock, **watch)  # type: ignore[arg-type]  # -- each test gives the field's own type
    found = world.services.sessions if sessions is None else sessions
    return Dispatcher(found, lane(world), render=plain, watch=usual)


def test_a_worker_that_overslept_hands_nothing_over_whatever_its_clock_shows(
    world: World,
) -> None:
    """Frozen behind the last look; its wall clock stood still, as after a restore of a machine."""
    due(world)
    slept_s = 0.0

    def oversleep(point: str) -> None:
        nonlocal slept_s
        if point == "before-submit":
            slept_s = LEASE_S

    dispatcher(world, monotonic=lambda: slept_s, mark=oversleep).run_once()

    assert world.gateway.submitted() == []
    assert (states(world), rows(world, ClaimRow)) == (["queued"], [])


def test_what_the_gateway_said_outlives_a_database_that_is_away_for_a_while(world: World) -> None:
    due(world)
    away = Away(world)
    waited: list[float] = []

    def lose(point: str) -> None:
        if point == "after-submit":
            away.faults = 3

    dispatcher(world, away, mark=lose, pause=waited.append).run_once()

    assert waited == list(SETTLE_AGAIN_S[:3])
    assert states(world) == ["submitted"]


def test_a_database_that_stays_away_is_an_error_and_the_lease_tells_of_it(world: World) -> None:
    due(world)
    away = Away(world)

    def lose(point: str) -> None:
        if point == "after-submit":
            away.faults = 100

    with pytest.raises(OperationalError):
        dispatcher(world, away, mark=lose, pause=lambda _: None).run_once()

    assert states(world) == ["claimed"]
    assert len(rows(world, ClaimRow)) == 1


def test_one_that_is_asked_to_end_claims_no_further_batch(world: World) -> None:
    due(world)

    sent = dispatcher(world, go_on=lambda: False).run_once()

    assert (sent, states(world)) == (0, ["queued"])


def test_what_came_of_a_batch_is_written_down_before_the_next_is_claimed(world: World) -> None:
    """A crash then leaves one batch in doubt, not two."""
    many_due(world, 250)
    in_hand: list[int] = []

    def look(point: str) -> None:
        if point == "after-claim":
            in_hand.append(states(world).count(State.CLAIMED))

    dispatcher(world, mark=look).run_once()

    assert in_hand == [100, 100, 50]


def test_a_refusal_that_came_after_the_lease_does_not_rest_the_route(world: World) -> None:
    """Another had given the texts up meanwhile; the overslept worker's answers say nothing."""
    many_due(world, 10)
    down = Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="not-sent")
    world.gateway.script = [down] * 10

    def give_up(point: str) -> None:
        if point == "after-submit":
            with world.services.sessions.begin() as session:
                lapse_leases(session, 1, now=later(10_000))

    dispatcher(world, mark=give_up).run_once()

    assert set(states(world)) == {"unknown"}
    assert [(row.refusals, row.paused_until) for row in rows(world, RouteRow)] == [(0, None)]


def test_a_fault_in_the_next_claim_does_not_take_along_what_the_gateway_said(world: World) -> None:
    many_due(world, 150)
    waited: list[float] = []

    def faulty(row: Due) -> str:
        if row.dedupe_key == "x120":
            raise KeyError("no such kind")
        return plain(row)

    watch = Watch(clock=world.clock, pause=waited.append)
    sender = Dispatcher(world.services.sessions, lane(world), render=faulty, watch=watch)
    with pytest.raises(KeyError):
        sender.run_once()

    assert Counter(states(world)) == {State.SUBMITTED: 100, State.QUEUED: 50}
    assert rows(world, ClaimRow) == []


def test_a_text_put_back_below_the_mark_leaves_in_the_same_run(world: World) -> None:
    """It lies before the last batch, where the queue is not looked at until it is empty above."""
    many_due(world, 150)
    route_id = lane(world).route_id
    late = a_draft(
        "late", route_id=route_id, phone_id=None, kind="help", evening=None, due_at=later(-60)
    )

    def come_late(point: str) -> None:
        if point == "after-claim" and messages(world, "help")[-1].dedupe_key != "late":
            put(world.services.sessions, late, now=world.clock())

    assert dispatcher(world, mark=come_late).run_once() == 151
