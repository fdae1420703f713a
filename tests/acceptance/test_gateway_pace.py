"""How fast texts leave, and how long a lost far end is left alone: by the settings, never more."""

from collections.abc import Callable
from pathlib import Path

import pytest

from gateway_adapters.serial_modem.backoff import Backoff as ModemBackoff
from gateway_adapters.smpp.pace import Backoff as CentreBackoff
from service.messages.lifecycle import State
from tests.gateways.far_ends import MAKES, far_end
from tests.gateways.far_world import world_on

RATE_PER_S = 10
TEXTS = 40
Waits = Callable[[Callable[[], float]], Callable[[], float]]


@pytest.mark.parametrize("make", MAKES)
def test_no_more_texts_leave_in_any_second_than_the_route_allows(tmp_path: Path, make: str) -> None:
    """C11: ten a second: ten at once, and from then on ten in every ten tenths of a second."""
    with far_end(make) as far, world_on(tmp_path, far, rate_per_s=RATE_PER_S) as there:
        there.queue(*(f"Namba {number}" for number in range(TEXTS)))
        left: list[int] = []
        while State.QUEUED in there.states():
            before = there.states().count(State.QUEUED)
            there.dispatch()
            left.append(before - there.states().count(State.QUEUED))
            there.later(seconds=0.1)

        assert left[0] == RATE_PER_S
        assert max(sum(left[place : place + 10]) for place in range(1, len(left))) <= RATE_PER_S
        assert len(left) >= 10 * (TEXTS / RATE_PER_S - 1)
        assert sorted(there.arrived()) == sorted(f"Namba {number}" for number in range(TEXTS))


def waits_of_a_centre(draw: Callable[[], float]) -> Callable[[], float]:
    """Return what gives the next wait before a centre is called again."""
    return CentreBackoff(1.0, roll=draw).next_s


def waits_of_a_modem(draw: Callable[[], float]) -> Callable[[], float]:
    """Return what gives the next wait before a modem is opened again."""
    return ModemBackoff(first_s=1.0, longest_s=60.0, draw=draw).next_s


@pytest.mark.parametrize("waits", [waits_of_a_centre, waits_of_a_modem], ids=["centre", "modem"])
def test_a_far_end_that_stays_away_is_called_less_and_less_often(waits: Waits) -> None:
    """C15: the longest wait doubles up to a minute, and a draw takes some of it away."""
    longest, drawn = waits(lambda: 1.0), waits(lambda: 0.25)

    assert [longest() for _ in range(8)] == [1, 2, 4, 8, 16, 32, 60, 60]
    assert [drawn() for _ in range(4)] == [0.25, 0.5, 1, 2]
