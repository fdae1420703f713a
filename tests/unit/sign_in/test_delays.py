"""The wait grows with each failure, ends at a minute, and goes with the first success."""

from hypothesis import given
from hypothesis import strategies as st

from service.sign_in.delays import begin_try, delay_s, strike_off, wait_s
from tests.unit.sign_in.gate import Gate


def test_the_wait_doubles_up_to_a_minute() -> None:
    assert [delay_s(failures) for failures in range(10)] == [0, 1, 2, 4, 8, 16, 32, 60, 60, 60]


@given(st.integers(min_value=-5, max_value=10**9))
def test_more_failures_never_wait_less_and_nobody_waits_longer_than_a_minute(failures: int) -> None:
    assert 0 <= delay_s(failures) <= delay_s(failures + 1) <= 60


def test_each_key_waits_for_itself_and_the_longest_wait_counts(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        counts = [begin_try(session, ["a"], now=gate.now) for _ in range(3)]
        counts.append(begin_try(session, ["b"], now=gate.now))

        assert counts == [1, 2, 3, 1]
        assert wait_s(session, ["a"], now=gate.now) == 4
        assert wait_s(session, ["b"], now=gate.now) == 1
        assert wait_s(session, ["a", "b"], now=gate.now) == 4
        assert wait_s(session, ["c"], now=gate.now) == 0


def test_a_begun_second_is_waited_for_whole(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        begin_try(session, ["a"], now=gate.now)
        gate.wait(0.25)

        assert wait_s(session, ["a"], now=gate.now) == 1
        gate.wait(0.75)
        assert wait_s(session, ["a"], now=gate.now) == 0


def test_a_success_forgets_the_failures(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        begin_try(session, ["a", "b"], now=gate.now)
        strike_off(session, ["a"])

        assert wait_s(session, ["a"], now=gate.now) == 0
        assert wait_s(session, ["b"], now=gate.now) == 1
        assert begin_try(session, ["a"], now=gate.now) == 1


def test_failures_that_nobody_repeated_for_a_day_are_forgotten(gate: Gate) -> None:
    with gate.sessions.begin() as session:
        begin_try(session, ["a"], now=gate.now)
        gate.wait(24 * 3600)
        assert begin_try(session, ["a"], now=gate.now) == 2

        gate.wait(24 * 3600 + 3)
        assert begin_try(session, ["a"], now=gate.now) == 1
