"""Where a container stands, from what happened to it.

Rest of 30 days (general) and 183 (sold raw): WHO 2006, vol. 4, as in the table of regimes.
"""

from datetime import UTC, date, datetime

import pytest

from service.agronomy.regimes import Regime
from service.planning.stock import Can, CanState, can_standing, name_needed, ready_can
from service.records.containers import ContainerBundle
from service.records.fields import ContainerEventKind, ContainerEventRow, ContainerRow, Source

NOW = datetime(2027, 3, 1, tzinfo=UTC)
TODAY = date(2027, 3, 1)
OPENED, SEALED, REFILLED, EMPTIED = (
    ContainerEventKind.OPENED,
    ContainerEventKind.SEALED,
    ContainerEventKind.REFILLED,
    ContainerEventKind.EMPTIED,
)
FIRST, SECOND = date(2027, 1, 20), date(2027, 2, 10)
Story = list[tuple[ContainerEventKind, date]]


def standing(
    story: Story,
    *,
    regime: Regime = Regime.GENERAL,
    today: date = TODAY,
    store_c: float | None = 24,
    longer_rest: bool = False,
) -> Can:
    row = ContainerRow(
        id=4,
        association_id=1,
        household_id=6,
        number=2,
        litres=20,
        longer_rest=longer_rest,
        recorded_at=NOW,
    )
    events = tuple(
        ContainerEventRow(kind=kind, on=on, source=Source.IMPORT, recorded_at=NOW)
        for kind, on in story
    )
    bundle = ContainerBundle(container=row, events=events, regime=regime)
    return can_standing(bundle, store_c=store_c, today=today)


@pytest.mark.parametrize(
    ("story", "state", "sealed_on", "ready_on"),
    [
        pytest.param([], CanState.EMPTY, None, None, id="nothing yet"),
        pytest.param([(OPENED, FIRST)], CanState.FILLING, None, None, id="opened"),
        pytest.param(
            [(OPENED, FIRST), (SEALED, FIRST)],
            CanState.READY,
            FIRST,
            date(2027, 2, 19),
            id="sealed and rested",
        ),
        pytest.param(
            [(SEALED, SECOND)], CanState.RESTING, SECOND, date(2027, 3, 12), id="still resting"
        ),
        pytest.param(
            [(SEALED, FIRST), (REFILLED, SECOND)],
            CanState.RESTING,
            SECOND,
            date(2027, 3, 12),
            id="added to: the clock starts again",
        ),
        pytest.param(
            [(OPENED, FIRST), (REFILLED, SECOND)],
            CanState.FILLING,
            None,
            None,
            id="added to while open: not sealed by that",
        ),
        pytest.param(
            [(SEALED, FIRST), (EMPTIED, SECOND)], CanState.EMPTY, None, None, id="used up"
        ),
        pytest.param(
            [(SEALED, FIRST), (OPENED, SECOND)], CanState.FILLING, None, None, id="opened anew"
        ),
        pytest.param(
            [(SEALED, FIRST), (EMPTIED, FIRST), (OPENED, FIRST), (SEALED, SECOND)],
            CanState.RESTING,
            SECOND,
            date(2027, 3, 12),
            id="the second filling counts",
        ),
    ],
)
def test_a_container_stands_where_its_last_events_leave_it(
    story: Story, state: CanState, sealed_on: date | None, ready_on: date | None
) -> None:
    can = standing(story)

    assert (can.state, can.sealed_on, can.ready_on) == (state, sealed_on, ready_on)
    assert (can.container_id, can.household_id, can.number) == (4, 6, 2)


@pytest.mark.parametrize(
    ("today", "state"),
    [(date(2027, 2, 18), CanState.RESTING), (date(2027, 2, 19), CanState.READY)],
    ids=["the day before", "the day itself"],
)
def test_a_container_is_ready_on_its_day(today: date, state: CanState) -> None:
    assert standing([(SEALED, FIRST)], today=today).state == state


@pytest.mark.parametrize("longer_rest", [True, False])
def test_who_eats_the_crop_and_a_longer_rest_both_mean_half_a_year(*, longer_rest: bool) -> None:
    regime = Regime.GENERAL if longer_rest else Regime.SOLD_ANY

    can = standing([(SEALED, FIRST)], regime=regime, longer_rest=longer_rest)

    assert (can.state, can.ready_on) == (CanState.RESTING, date(2027, 7, 22))
    assert (date(2027, 7, 22) - FIRST).days == 183


def test_half_a_years_rest_is_never_over_in_a_store_of_unknown_warmth() -> None:
    can = standing([(SEALED, date(2026, 1, 1))], regime=Regime.SOLD_ANY, store_c=None)

    assert (can.state, can.ready_on) == (CanState.RESTING, None)


def a_can(number: int, ready_on: date | None, state: CanState = CanState.READY) -> Can:
    return Can(
        container_id=number,
        household_id=6,
        number=number,
        state=state,
        sealed_on=FIRST,
        ready_on=ready_on,
    )


@pytest.mark.parametrize(
    ("cans", "number"),
    [
        pytest.param([], None, id="no can"),
        pytest.param([a_can(1, None)], None, id="never ready here"),
        pytest.param([a_can(1, date(2027, 3, 2))], None, id="ready a day late"),
        pytest.param([a_can(1, TODAY)], 1, id="ready that day"),
        pytest.param([a_can(1, SECOND), a_can(2, FIRST)], 2, id="ready longest"),
        pytest.param([a_can(3, FIRST), a_can(2, FIRST)], 2, id="of two alike the lower number"),
        pytest.param(
            [a_can(1, TODAY, CanState.RESTING)], 1, id="it rests today and is ready by then"
        ),
    ],
)
def test_the_can_to_use_is_the_one_ready_longest(cans: list[Can], number: int | None) -> None:
    can = ready_can(cans, on=TODAY)

    assert (None if can is None else can.number) == number


@pytest.mark.parametrize(
    ("states", "needed"),
    [
        ([CanState.READY], False),
        ([CanState.READY, CanState.EMPTY], False),
        ([CanState.READY, CanState.FILLING], True),
        ([CanState.RESTING, CanState.READY], True),
    ],
)
def test_a_can_is_named_where_more_than_one_is_not_empty(
    states: list[CanState], *, needed: bool
) -> None:
    cans = [a_can(place, FIRST, state) for place, state in enumerate(states)]

    assert name_needed(cans) is needed
