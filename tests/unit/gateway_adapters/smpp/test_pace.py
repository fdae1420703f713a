"""How fast, how long to wait, and when a peer is dead; the figures are the reference's own."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.smpp.liveness import Liveness
from gateway_adapters.smpp.pace import Backoff, Pace


def a_pace(rate_per_s: float = 10.0, *, roll: float = 1.0) -> Pace:
    """Return a pace at second 0; a roll of 1 gives the longest pauses."""
    return Pace(rate_per_s, wait_s=1.0, roll=lambda: roll, now=0.0)


def sent_by(pace: Pace, until: float, *, since: float = 0.0) -> list[float]:
    """Return the seconds at which texts leave if one always waits."""
    at, times = since, []
    while at <= until:
        wait_s = pace.wait_s(at)
        if wait_s <= 0:
            pace.spend()
            times.append(at)
        at += max(wait_s, 1e-6)
    return times


@given(st.floats(0.5, 50))
def test_no_second_sees_more_than_the_rate_and_one_burst(rate_per_s: float) -> None:
    times = sent_by(a_pace(rate_per_s), 5.0)
    burst = max(1.0, rate_per_s / 10)

    for first in times:
        in_a_second = sum(first <= at < first + 1 for at in times)
        assert in_a_second <= rate_per_s + burst + 1e-3


def test_fullness_halves_the_rate_and_pauses_longer_each_time() -> None:
    pace = a_pace()
    pauses, now = [], 0.0
    for _ in range(8):
        pauses.append(pace.slow_down(now))
        now += pauses[-1]

    assert pauses == [1, 2, 4, 8, 16, 32, 60, 60]
    assert pace.slowed


def test_those_already_under_way_are_no_second_refusal() -> None:
    pace = a_pace()
    pace.slow_down(0.0)

    assert pace.slow_down(0.25) == 0.75
    assert pace.slow_down(0.5) == 0.5


def test_a_text_taken_after_a_pause_makes_the_next_pause_short_again() -> None:
    pace = a_pace()
    for second in (0.0, 1.0, 3.0):
        pace.slow_down(second)
    pace.went_well(5.0)  # sent before the pause, which ends at 7
    longest = pace.slow_down(7.0)
    pace.went_well(15.0)

    assert longest == 8
    assert pace.slow_down(15.0) == 1


@pytest.mark.parametrize(("roll", "pause_s"), [(0.0, 0.5), (0.5, 0.75), (1.0, 1.0)])
def test_a_pause_has_jitter(roll: float, pause_s: float) -> None:
    assert a_pace(roll=roll).slow_down(0.0) == pause_s


def test_quiet_gives_a_tenth_of_the_rate_back_each_ten_seconds() -> None:
    """Half of 10 a second, and 10, 20, 30, 40, 50 quiet seconds after a pause of one."""
    pace = a_pace()
    pace.slow_down(0.0)
    rates = [len(sent_by(pace, since + 5.0, since=since)) / 5 for since in (1.1, 11.1, 41.1)]

    assert rates == pytest.approx([5, 6, 9], abs=0.4)
    assert pace.wait_s(51.1) <= 0
    assert not pace.slowed


def test_connecting_again_waits_longer_each_time_and_never_over_a_minute() -> None:
    backoff = Backoff(1.0, roll=lambda: 1.0)

    assert [backoff.next_s() for _ in range(8)] == [1, 2, 4, 8, 16, 32, 60, 60]
    backoff.went_well()
    assert backoff.next_s() == 1


def test_waits_have_full_jitter() -> None:
    assert Backoff(1.0, roll=lambda: 0.0).next_s() == 0
    assert Backoff(1.0, roll=lambda: 0.25).next_s() == 0.25


def test_a_silent_peer_is_asked_twice_and_then_dead() -> None:
    liveness = Liveness(30.0, now=0.0)
    told = []
    for now in range(1, 91):
        if liveness.is_dead(now):
            told.append((now, "dead"))
        elif liveness.ask(now):
            told.append((now, "asked"))

    assert told == [(30, "asked"), (60, "asked"), (90, "dead")]


def test_anything_heard_starts_the_silence_anew() -> None:
    liveness = Liveness(30.0, now=0.0)
    liveness.ask(30.0)
    liveness.heard(31.0)

    assert liveness.due_s(31.0) == 30.0
    assert not liveness.is_dead(90.0)
