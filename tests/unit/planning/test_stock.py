"""Where a container stands, from what happened to it.

Rest of 30 days (general) and 183 (sold raw): WHO 2006, vol. 4, as in the table of regimes.
"""

from datetime import UTC, date, datetime

import pytest

from service.agronomy.containers import CanEventKind, CanState
from service.agronomy.regimes import Regime
from service.planning.stock import Can, any_ready, name_needed, stores
from service.records.containers import ContainerBundle
from service.records.dose_uses import DoseUse
from service.records.fields import ContainerEventRow, ContainerRow, Source
from service.records.locality_book import LocalityBook

NOW = datetime(2027, 3, 1, tzinfo=UTC)
TODAY = date(2027, 3, 1)
OPENED, SEALED, REFILLED, EMPTIED = (
    CanEventKind.OPENED,
    CanEventKind.SEALED,
    CanEventKind.REFILLED,
    CanEventKind.EMPTIED,
)
FIRST, SECOND = date(2027, 1, 20), date(2027, 2, 10)
Story = list[tuple[CanEventKind, date]]


def standing(  # noqa: PLR0913 -- a factory: every part has its usual value
    story: Story,
    *,
    regime: Regime = Regime.GENERAL,
    today: date = TODAY,
    store_c: float | None = 24,
    longer_rest: bool = False,
    uses: tuple[DoseUse, ...] = (),
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
    bundle = ContainerBundle(container=row, events=events, regime=regime, area_id=3)
    book = LocalityBook(holds=(), spans=(), values=(), store_c={3: store_c})
    return stores([bundle], uses, book=book, today=today)[6].cans[0]


def poured(litres: float, on: date = TODAY, number: int = 1) -> DoseUse:
    return DoseUse(
        household_id=6, planting_id=9, number=number, on=on, litres=litres, regime=Regime.GENERAL
    )


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


def test_a_can_from_which_something_was_poured_is_in_use_with_what_is_left() -> None:
    can = standing([(SEALED, FIRST)], uses=(poured(12.5),))

    assert (can.state, can.litres) == (CanState.IN_USE, 7.5)


def test_a_can_poured_out_is_empty() -> None:
    can = standing([(SEALED, FIRST)], uses=(poured(12.5), poured(7.5, number=2)))

    assert (can.state, can.litres) == (CanState.EMPTY, 0)


def test_what_was_poured_from_other_households_cans_does_not_count() -> None:
    other = DoseUse(
        household_id=7, planting_id=8, number=1, on=TODAY, litres=5, regime=Regime.GENERAL
    )

    assert standing([(SEALED, FIRST)], uses=(other,)).litres == 20


def test_a_can_may_be_ready_for_one_plot_and_not_for_another() -> None:
    can = standing([(SEALED, FIRST)])

    assert can.ready_for(Regime.OWN_HOUSEHOLD) == date(2027, 2, 3)
    assert can.ready_for(Regime.SOLD_ANY) == date(2027, 7, 22)
    assert any_ready([can], regime=Regime.GENERAL, on=date(2027, 2, 19))
    assert not any_ready([can], regime=Regime.GENERAL, on=date(2027, 2, 18))
    assert not any_ready([can], regime=Regime.SOLD_ANY, on=TODAY)
    assert not any_ready([], regime=Regime.GENERAL, on=TODAY)


@pytest.mark.parametrize(
    ("stories", "needed"),
    [
        ([[(SEALED, FIRST)]], False),
        ([[(SEALED, FIRST)], []], False),
        ([[(SEALED, FIRST)], [(OPENED, FIRST)]], True),
        ([[(SEALED, SECOND)], [(SEALED, FIRST)]], True),
    ],
)
def test_a_can_is_named_where_more_than_one_is_not_empty(
    stories: list[Story], *, needed: bool
) -> None:
    assert name_needed([standing(story) for story in stories]) is needed


def test_a_can_reckoned_empty_had_rested_all_the_same() -> None:
    """What is poured is told in doses, not measured: the can may hold more than the books say."""
    can = standing([(SEALED, FIRST)], uses=(poured(20),))

    assert can.state is CanState.EMPTY
    assert any_ready([can], regime=Regime.GENERAL, on=TODAY)


@pytest.mark.parametrize("kind", [EMPTIED, OPENED, CanEventKind.LEAKED])
def test_a_can_told_to_be_empty_has_nothing_that_rested(kind: CanEventKind) -> None:
    can = standing([(SEALED, FIRST), (kind, SECOND)], uses=(poured(20, on=FIRST),))

    assert not any_ready([can], regime=Regime.GENERAL, on=TODAY)


def test_a_can_reckoned_empty_and_topped_up_rests_anew() -> None:
    topped_up = [(SEALED, FIRST), (REFILLED, date(2027, 3, 5))]

    can = standing(topped_up, uses=(poured(20),), today=date(2027, 3, 6))

    assert (can.state, can.ready_on) == (CanState.RESTING, date(2027, 4, 4))
