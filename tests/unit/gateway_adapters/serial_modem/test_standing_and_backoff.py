"""What people are told of a modem, and how long a lost one is left alone."""

import pytest

from gateway_adapters.contract import HealthState
from gateway_adapters.serial_modem.backoff import Backoff
from gateway_adapters.serial_modem.faults import not_sent
from gateway_adapters.serial_modem.sim_store import Usage
from gateway_adapters.serial_modem.standing import Standing, Work
from tests.outgoing import EVENING, HALF_MINUTE_LATER, StoppedClock

WEAK = "The signal is weak; move the modem or its antenna."
ABROAD = "The modem is in another operator's network; texts may cost more."
LOST = "The modem is in no network; look at the antenna, the SIM and its credit."


def a_standing() -> Standing:
    standing = Standing(StoppedClock())
    standing.up()
    return standing


def test_a_modem_that_nobody_used_yet_is_not_called_well() -> None:
    health = Standing(StoppedClock()).health()

    assert health.state is HealthState.DEGRADED


NETWORKS = [
    pytest.param(17, 1, "", id="well"),
    pytest.param(10, 1, "", id="just enough"),
    pytest.param(9, 1, WEAK, id="weak"),
    pytest.param(99, 1, WEAK, id="unknown signal"),
    pytest.param(17, 5, ABROAD, id="roaming"),
    pytest.param(17, 0, LOST, id="not searching"),
    pytest.param(17, 2, LOST, id="searching"),
    pytest.param(17, 3, LOST, id="denied"),
    pytest.param(None, None, "", id="not told"),
    pytest.param(0, 3, f"{LOST} {WEAK}", id="both"),
]


@pytest.mark.parametrize(("signal", "registration", "reason"), NETWORKS)
def test_signal_and_network(signal: int | None, registration: int | None, reason: str) -> None:
    """TS 27.007, 7.2 and 8.5; the bound of a weak signal is common practice, no source."""
    standing = a_standing()
    standing.note_network(signal=signal, registration=registration)

    health = standing.health()

    assert health.reason == reason
    assert health.state is (HealthState.DEGRADED if reason else HealthState.UP)


def test_a_sim_is_nearly_full_from_four_fifths() -> None:
    standing = a_standing()
    states = []
    for used in (0, 15, 16, 20):
        standing.note_usage(Usage(used=used, total=20))
        states.append(standing.health().state)

    up, degraded = HealthState.UP, HealthState.DEGRADED
    assert states == [up, up, degraded, degraded]


def test_each_note_is_told() -> None:
    standing = a_standing()
    standing.note_receipts(are_told=False)
    standing.note_work(Work(is_kept=False, cap_reached=True, lost=2, noise=1000))

    assert standing.health().reason == (
        "The modem hands on no receipts. "
        "The modem's folder cannot be written; check that it exists and has room. "
        "The day's amount of texts has left; the rest waits. "
        "Some receipts were lost because too many waited to be stored. "
        "The line to the modem is noisy; look at its cable and its power supply."
    )
    standing.note_receipts(are_told=True)
    standing.note_work(Work(noise=999))
    assert standing.health().state is HealthState.UP


def test_trouble_lasts_from_its_beginning_until_the_modem_works() -> None:
    clock = StoppedClock()
    standing = Standing(clock)
    standing.down(not_sent("Unplugged."))
    clock.at = HALF_MINUTE_LATER
    standing.down(not_sent("Still unplugged."))

    health = standing.health()
    assert (health.state, health.reason, health.since) == (
        HealthState.DOWN,
        "Still unplugged.",
        EVENING,
    )
    assert standing.trouble == not_sent("Still unplugged.")


def test_a_modem_that_works_again_is_in_no_trouble() -> None:
    standing = Standing(StoppedClock())
    standing.down(not_sent("Unplugged."))
    standing.up()

    assert standing.health().state is HealthState.UP
    assert standing.trouble is None


def test_a_closed_gateway_is_down_whatever_came_before() -> None:
    standing = a_standing()
    standing.closed()

    assert standing.health().state is HealthState.DOWN


def test_waits_double_to_their_bound_and_begin_again() -> None:
    backoff = Backoff(first_s=1, longest_s=60, draw=lambda: 1.0)

    assert [backoff.next_s() for _ in range(8)] == [1, 2, 4, 8, 16, 32, 60, 60]
    backoff.reset()
    assert backoff.next_s() == 1


def test_waits_are_drawn_from_their_whole_and_are_never_none() -> None:
    draws = iter([0.5, 0.0, 0.99])
    backoff = Backoff(first_s=1, longest_s=60, draw=lambda: next(draws))

    assert [backoff.next_s() for _ in range(3)] == pytest.approx([0.5, 0.2, 3.96])
