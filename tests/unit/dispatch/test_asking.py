"""The gateway is asked about texts in doubt, twice at most, and its word is a receipt."""

from dataclasses import replace

import pytest
from typing_extensions import override

from gateway_adapters.contract import Capabilities, Outcome
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Receipt, ReceiptState
from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_script import NoAnswer
from service.dispatch.asker import Asker
from service.messages.lifecycle import State
from tests.unit.dispatch.sending import at, due, lane, send
from tests.world import World
from tests.world_looks import messages


class Asked(FakeGateway):
    """The fake, but what is asked is written down and answered as the test says."""

    word: ReceiptState | None = None
    can: bool = True
    closed: bool = False

    def __init__(self, world: World) -> None:
        super().__init__(clock=world.clock)
        self.questions: list[str] = []

    @property
    @override
    def capabilities(self) -> Capabilities:
        """What the fake can, with or without `query`."""
        return replace(super().capabilities, query=self.can)

    @override
    def query(self, gateway_id: str, to: str) -> Receipt | None:
        """Answer as the test says."""
        self.questions.append(gateway_id)
        if self.closed:
            raise GatewayClosedError("closed")
        if self.word is None:
            return None
        return Receipt(
            event_id=f"q:{len(self.questions)}",
            gateway_id=gateway_id,
            to=to,
            state=self.word,
            at=self._clock(),
        )


@pytest.fixture
def doubtful(world: World) -> Asked:
    """A reminder that left without a clear answer, by a gateway that can be asked."""
    gateway = Asked(world)
    step: NoAnswer | Outcome = NoAnswer(delivered=False, id_known=True)
    gateway.script.append(step)
    due(world)
    world.services = replace(world.services, gateways={"main": gateway})
    send(world)
    assert [row.state for row in messages(world, "dose")] == [State.UNKNOWN]
    return gateway


def ask(world: World, clock: str) -> int:
    at(world, clock)
    return Asker(world.services.sessions, lane(world), clock=world.clock).run_once()


def state(world: World) -> State:
    (row,) = messages(world, "dose")
    return row.state


def test_after_a_minute_and_after_ten_the_gateway_is_asked_and_not_again(
    world: World, doubtful: Asked
) -> None:
    asked = []
    for clock in ("18:00:59", "18:01:00", "18:09:59", "18:10:00", "19:00:00"):
        ask(world, f"2027-03-14T{clock}")
        asked.append(len(doubtful.questions))

    assert asked == [0, 1, 1, 2, 2]
    assert state(world) is State.UNKNOWN


def test_what_the_gateway_says_counts_as_a_receipt(world: World, doubtful: Asked) -> None:
    doubtful.word = ReceiptState.DELIVERED

    assert ask(world, "2027-03-14T18:01:00") == 1
    assert state(world) is State.DELIVERED


def test_it_cannot_say_is_not_a_no(world: World, doubtful: Asked) -> None:
    assert ask(world, "2027-03-14T18:01:00") == 0
    assert (len(doubtful.questions), state(world)) == (1, State.UNKNOWN)


def test_a_gateway_that_cannot_be_asked_is_not(world: World, doubtful: Asked) -> None:
    doubtful.can = False

    ask(world, "2027-03-14T18:01:00")

    assert doubtful.questions == []


def test_a_gateway_that_was_closed_leaves_the_doubt(world: World, doubtful: Asked) -> None:
    doubtful.closed = True

    assert ask(world, "2027-03-14T18:01:00") == 0
    assert state(world) is State.UNKNOWN


def test_a_step_asks_by_itself(world: World, doubtful: Asked) -> None:
    doubtful.word = ReceiptState.DELIVERED

    world.tick("2027-03-14T18:02")

    assert state(world) is State.DELIVERED
