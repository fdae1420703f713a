"""Relative validity, rounded down (3GPP TS 23.040, 9.2.3.12.1)."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from gateway_adapters.serial_modem.validity import relative_validity

MINUTE, HOUR, DAY, WEEK = 60, 3600, 86_400, 604_800
ROWS = [
    pytest.param(5 * MINUTE, 0, id="5 min"),
    pytest.param(15 * MINUTE, 2, id="15 min"),
    pytest.param(12 * HOUR, 143, id="12 h"),
    pytest.param(12.5 * HOUR, 144, id="12.5 h"),
    pytest.param(24 * HOUR, 167, id="24 h"),
    pytest.param(2 * DAY, 168, id="2 d"),
    pytest.param(30 * DAY, 196, id="30 d"),
    pytest.param(5 * WEEK, 197, id="5 wk"),
    pytest.param(63 * WEEK, 255, id="63 wk"),
]


def seconds_of(octet: int) -> float:
    """Return what an octet means, by the standard's four rows."""
    if octet <= 143:
        return (octet + 1) * 5 * MINUTE
    if octet <= 167:
        return 12 * HOUR + (octet - 143) * 30 * MINUTE
    if octet <= 196:
        return (octet - 166) * DAY
    return (octet - 192) * WEEK


@pytest.mark.parametrize(("seconds", "octet"), ROWS)
def test_the_steps(seconds: float, octet: int) -> None:
    assert relative_validity(seconds) == octet
    assert relative_validity(seconds - 1) == (octet - 1 if octet else None)


@given(seconds=st.floats(0, 1e9))
@example(seconds=299.9)
@example(seconds=34 * DAY)
def test_it_is_the_longest_that_is_not_longer_than_asked(seconds: float) -> None:
    octet = relative_validity(seconds)

    if octet is None:
        assert seconds < 5 * MINUTE
    else:
        assert seconds_of(octet) <= seconds
        assert octet == 255 or seconds_of(octet + 1) > seconds
