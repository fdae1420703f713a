"""Which doses ask for urine, on which day they are poured, and for whose table. Pure."""

from datetime import UTC, date, datetime

import pytest

from service.agronomy.allotment import Ask
from service.agronomy.containers import CanEventKind
from service.agronomy.cutoff import CutoffRule
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.agronomy.season_plan import PlannedDose, SeasonPlan
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.stock import Can, stores
from service.records.containers import ContainerBundle
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    DoseRow,
    DoseState,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.locality_book import LocalityBook
from service.records.people import HouseholdRow
from service.records.plantings import PlantingBundle

NOW = datetime(2027, 3, 1, tzinfo=UTC)
SOWN, DUE, CLOSES = date(2027, 3, 15), date(2027, 3, 28), date(2027, 4, 3)
BOOK = LocalityBook(holds=(), spans=(), values=(), store_c={3: 24})


def planned(
    row: DoseRow | None = None, *, due_on: date = DUE, regime: Regime | None = None
) -> Planned:
    dose = PlannedDose(
        number=2,
        due_on=due_on,
        litres=20,
        water_litres=0,
        closes_on=CLOSES,
        given_on=None,
        usual_on=due_on,
    )
    bundle = PlantingBundle(
        planting=PlantingRow(id=9, crop="maize-grain", planted_on=SOWN, regime=regime),
        plot=PlotRow(letter="A", area_m2=100, soil=Soil.NORMAL),
        household=HouseholdRow(
            id=6, area_id=3, adults=2, children=0, collected_share=1, regime=Regime.GENERAL
        ),
        facts=(),
        holds=(),
        doses=() if row is None else (row,),
        book=BOOK,
    )
    plan = SeasonPlan(
        doses=(dose,),
        dropped=(),
        cutoff_on=date(2027, 6, 1),
        cutoff_rule=CutoffRule.SHARE_OF_SEASON,
        emergence_on=date(2027, 3, 21),
        emergence_assumed=True,
        first_harvest_on=date(2027, 7, 1),
        season_days=120,
        target_litres=150,
        shortfall_litres=0,
        warnings=(),
    )
    return Planned(bundle=bundle, plan=plan)


def a_row(state: DoseState, *, told: bool = False) -> DoseRow:
    return DoseRow(number=2, due_on=DUE, closes_on=CLOSES, urine_l=20, state=state, told=told)


def a_can(
    *events: tuple[CanEventKind, date], store_c: float | None = 24, today: date = SOWN
) -> Can:
    bundle = ContainerBundle(
        container=ContainerRow(id=4, household_id=6, number=1, litres=30, longer_rest=False),
        events=tuple(
            ContainerEventRow(kind=kind, on=on, source=Source.IMPORT, recorded_at=NOW)
            for kind, on in events
        ),
        regime=Regime.GENERAL,
        area_id=3,
    )
    book = LocalityBook(holds=(), spans=(), values=(), store_c={3: store_c})
    return stores([bundle], (), book=book, today=today)[6].cans[0]


def asked(found: Planned, today: date = SOWN) -> list[Ask]:
    return list(household_stock([found], (), today=today).asks)


@pytest.mark.parametrize(
    ("row", "told"),
    [
        pytest.param(None, False, id="not written down yet"),
        pytest.param(a_row(DoseState.PLANNED), False, id="to come"),
        pytest.param(a_row(DoseState.PLANNED, told=True), True, id="told"),
        pytest.param(a_row(DoseState.DROPPED), False, id="dropped: it may come back"),
    ],
)
def test_a_dose_still_to_come_asks_for_its_share(row: DoseRow | None, *, told: bool) -> None:
    (ask,) = asked(planned(row))

    assert (ask.dose, ask.litres, ask.told) == ((9, 2), 20, told)
    assert (ask.due_on, ask.on, ask.planted_on) == (DUE, DUE, SOWN)


@pytest.mark.parametrize("state", [DoseState.DONE, DoseState.NOT_DONE, DoseState.NOT_KNOWN])
def test_a_dose_that_is_over_asks_for_nothing(state: DoseState) -> None:
    assert asked(planned(a_row(state))) == []


@pytest.mark.parametrize(
    ("today", "on"),
    [
        pytest.param(date(2027, 3, 27), DUE, id="the day before"),
        pytest.param(date(2027, 3, 29), date(2027, 3, 29), id="open since yesterday"),
        pytest.param(CLOSES, date(2027, 4, 2), id="its last day: nobody can be told any more"),
        pytest.param(date(2027, 4, 4), date(2027, 4, 2), id="over: its last evening for a text"),
    ],
)
def test_a_dose_is_poured_on_its_day_or_as_soon_after_as_it_can(today: date, on: date) -> None:
    (ask,) = asked(planned(), today)

    assert ask.on == on


def test_a_dose_that_was_told_may_be_poured_to_its_last_day() -> None:
    (ask,) = asked(planned(a_row(DoseState.PLANNED, told=True)), CLOSES)
    (over,) = asked(planned(a_row(DoseState.PLANNED, told=True)), date(2027, 4, 4))

    assert (ask.on, over.on) == (CLOSES, CLOSES)


def test_a_dose_of_one_day_that_is_over_was_to_be_poured_on_that_day() -> None:
    (ask,) = asked(planned(due_on=CLOSES), date(2027, 4, 4))

    assert ask.on == CLOSES


@pytest.mark.parametrize(
    ("said", "eaters"), [(None, Regime.GENERAL), (Regime.SOLD_ANY, Regime.SOLD_ANY)]
)
def test_what_is_said_of_a_crops_eaters_goes_before_what_is_said_of_the_household(
    said: Regime | None, eaters: Regime
) -> None:
    (ask,) = asked(planned(regime=said))

    assert ask.regime is eaters


def got(can: Can, found: Planned) -> HouseholdStock:
    return household_stock([found], (can,), today=SOWN)


def test_a_sealed_can_is_stock_and_an_open_one_only_what_it_will_be() -> None:
    """Two adults pass 2 L a day, as in the supply table: 30 L are full 15 days after opening."""
    sealed = got(a_can((CanEventKind.SEALED, date(2027, 2, 1))), planned()).stocks
    opened = got(a_can((CanEventKind.OPENED, date(2027, 3, 5))), planned()).stocks

    assert [(item.sealed_on, item.litres, item.forecast) for item in sealed] == [
        (date(2027, 2, 1), 30, False)
    ]
    assert [(item.sealed_on, item.litres, item.forecast) for item in opened] == [
        (date(2027, 3, 20), 30, True)
    ]


@pytest.mark.parametrize(("store_c", "litres"), [(24, 20), (None, 0)])
def test_a_can_that_rests_half_a_year_serves_only_from_a_store_known_to_be_warm(
    store_c: float | None, litres: float
) -> None:
    can = a_can((CanEventKind.SEALED, date(2026, 6, 1)), store_c=store_c)

    allotted = got(can, planned(regime=Regime.SOLD_ANY)).allotted

    assert allotted[9, 2].litres == litres
