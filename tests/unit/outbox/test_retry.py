"""When to try again, and how long a lease, a submit and an orphan receipt last."""

from datetime import UTC, datetime

import pytest

from service.outbox.retry import (
    lease_ends,
    next_try_at,
    orphan_limit,
    submit_deadline,
    tokens_now,
)

NOW = datetime(2027, 3, 14, 15, 0, tzinfo=UTC)


@pytest.mark.parametrize(
    ("tries", "asked_s", "wait_s"),
    [
        pytest.param(0, None, 30, id="not tried yet"),
        pytest.param(1, None, 30, id="once"),
        pytest.param(2, None, 60, id="twice"),
        pytest.param(3, None, 120, id="three times"),
        pytest.param(9, None, 900, id="never longer than a quarter of an hour"),
        pytest.param(3, 12.5, 12.5, id="as long as the gateway asks"),
        pytest.param(1, 86_400, 900, id="but not for a day"),
        pytest.param(1, -5, 1, id="nor at once"),
    ],
)
def test_the_wait_doubles_unless_the_gateway_asks_for_another(
    tries: int, asked_s: float | None, wait_s: float
) -> None:
    """30 s doubled up to 900 s: common practice, no source."""
    again_at = next_try_at(tries, NOW, asked_s=asked_s)

    assert (again_at - NOW).total_seconds() == wait_s


def test_a_submit_ends_well_before_its_lease() -> None:
    """Deadline 30 s, lease 120 s, an hour for a lone receipt: the design's project choices."""
    assert (submit_deadline(NOW) - NOW).total_seconds() == 30
    assert (lease_ends(NOW) - NOW).total_seconds() == 120
    assert (NOW - orphan_limit(NOW)).total_seconds() == 3600


@pytest.mark.parametrize(
    ("held", "waited_s", "rate", "tokens"),
    [
        pytest.param(0, 0.5, 10, 5, id="half a second of ten"),
        pytest.param(3, 0.5, 10, 8, id="added to what is held"),
        pytest.param(9, 60, 10, 10, id="never more than a second's worth"),
        pytest.param(0, 4, 0.5, 1, id="at least one text for a slow route"),
        pytest.param(5, -60, 10, 5, id="a clock that went back takes none"),
    ],
)
def test_a_bucket_fills_at_its_rate(
    held: float, waited_s: float, rate: float, tokens: float
) -> None:
    at = datetime.fromtimestamp(NOW.timestamp() - waited_s, tz=UTC)

    assert tokens_now(held, at, NOW, rate) == tokens
