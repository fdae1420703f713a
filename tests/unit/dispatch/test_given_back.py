"""A worker whose database goes away before it hands a batch over gives the batch back."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from sqlalchemy.exc import OperationalError
from typing_extensions import override

from service.dispatch.dispatcher import Dispatcher, Watch
from service.outbox.overdue import lapse_leases
from service.records.engine import Session, Sessions
from service.records.traffic import ClaimRow
from tests.unit.dispatch.sending import due, lane
from tests.unit.outbox.queue import later, plain
from tests.world import World
from tests.world_looks import rows, states

LOST = OperationalError("", None, ConnectionError("the server is gone"))


class Fading(Sessions):
    """A database whose transactions end as each entry says: well, lost, or done and lost."""

    def __init__(self, world: World, *ends: str) -> None:
        super().__init__(world.services.sessions.engine)
        self.ends = list(ends)

    @override
    @contextmanager
    def begin(self, *, alone: int | None = None, beside: int | None = None) -> Iterator[Session]:
        """Give a session, and end it as the next entry says; with none left, well."""
        end = self.ends.pop(0) if self.ends else "well"
        if end == "lost":
            raise LOST
        with super().begin(alone=alone, beside=beside) as session:
            yield session
        if end == "done and lost":
            raise LOST


def run(world: World, *ends: str) -> None:
    """Send what is due; the transactions are tidying, the claim, the last look, the outcome."""
    found = Fading(world, *ends)
    watch = Watch(clock=world.clock, pause=lambda _: None)
    with pytest.raises(OperationalError):
        Dispatcher(found, lane(world), render=plain, watch=watch).run_once()


@pytest.mark.parametrize(
    "ends",
    [
        pytest.param(("well", "lost"), id="no claim"),
        pytest.param(("well", "done and lost"), id="a claim nobody heard of"),
        pytest.param(("well", "well", "lost"), id="no last look"),
        pytest.param(("well", "well", "done and lost"), id="a last look nobody heard of"),
        pytest.param(("well", "well", "lost", "lost", "lost"), id="away for a while"),
    ],
)
def test_what_was_certainly_not_handed_over_waits_in_the_queue(
    world: World, ends: tuple[str, ...]
) -> None:
    due(world)

    run(world, *ends)

    assert world.gateway.submitted() == []
    assert (states(world, "dose"), rows(world, ClaimRow)) == (["queued"], [])


def test_what_another_has_given_up_meanwhile_stays_in_doubt(world: World) -> None:
    """A person may have acted on the doubt."""
    due(world)
    found = Fading(world, "well", "well", "lost")

    def give_up(point: str) -> None:
        if point == "after-claim":
            with world.services.sessions.begin() as session:
                lapse_leases(session, 1, now=later(10_000))

    watch = Watch(clock=world.clock, pause=lambda _: None, mark=give_up)
    with pytest.raises(OperationalError):
        Dispatcher(found, lane(world), render=plain, watch=watch).run_once()

    assert states(world, "dose") == ["unknown"]
