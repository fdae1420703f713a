"""Plantings, doses and a board put together by hand, for tests at the edges of planning's rules."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, date, datetime

from service.agronomy.allotment import Allotment
from service.agronomy.containers import CanEventKind
from service.agronomy.cutoff import CutoffRule
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.agronomy.season_plan import DroppedDose, PlannedDose, SeasonPlan
from service.outbox.lookups import Told
from service.planning.allotting import HouseholdStock, Planned, household_stock
from service.planning.board import Board, by_household, phones_by_household
from service.planning.stock import Can, stores
from service.records.containers import ContainerBundle
from service.records.dose_uses import DoseUse
from service.records.fields import (
    ContainerEventRow,
    ContainerRow,
    DoseRow,
    DoseState,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.locality_book import LocalityBook
from service.records.people import Consent, ConsentEventRow, HouseholdRow, PhoneRow
from service.records.phones import PhoneBundle
from service.records.plantings import PlantingBundle

NOW = datetime(2027, 3, 1, 9, 0, tzinfo=UTC)
SOWN = date(2027, 3, 15)
HOME, PLANTING = 6, 9
NO_BOOK = LocalityBook(holds=(), spans=(), values=(), store_c={3: 24})


def a_fact(
    kind: FactKind,
    on: date,
    number: int | None = None,
    *,
    at: datetime = NOW,
    source: Source = Source.CALL,
) -> PlantingFactRow:
    """Return what became known of a planting."""
    return PlantingFactRow(kind=kind, on=on, dose_number=number, source=source, recorded_at=at)


def a_home(home: int = HOME, **parts: object) -> HouseholdRow:
    """Return a household of two adults, who pass 2 L a day together as in the supply table."""
    usual: dict[str, object] = {
        "area_id": 3,
        "adults": 2,
        "children": 0,
        "collected_share": 1.0,
        "regime": Regime.GENERAL,
        "needs_call": False,
        "label": "H1",
        "cup_ml": 250,
    }
    return HouseholdRow(id=home, **{**usual, **parts})


def a_row(  # noqa: PLR0913 -- a factory: every part has its usual value
    number: int,
    due_on: date,
    *,
    closes_on: date | None = None,
    state: DoseState = DoseState.PLANNED,
    litres: float = 20,
    water: float = 0,
    reason: str | None = None,
    planting: int = PLANTING,
) -> DoseRow:
    """Return a dose as it is stored; its id is the planting's and its number."""
    return DoseRow(
        id=planting * 100 + number,
        planting_id=planting,
        number=number,
        due_on=due_on,
        closes_on=due_on if closes_on is None else closes_on,
        urine_l=litres,
        water_l=water,
        short_l=0.0,
        revision=1,
        state=state,
        reason=reason,
        told=False,
    )


def a_dose(number: int, due_on: date, litres: float = 20, **parts: object) -> PlannedDose:
    """Return a dose of a plan."""
    usual: dict[str, object] = {
        "water_litres": 0,
        "closes_on": due_on,
        "given_on": None,
        "usual_on": due_on,
    }
    return PlannedDose(number=number, due_on=due_on, litres=litres, **{**usual, **parts})  # type: ignore[arg-type]  # -- the parts are named by the tests


def planted(  # noqa: PLR0913 -- a factory: every part has its usual value
    *,
    planting: int = PLANTING,
    letter: str | None = "A",
    crop: str = "maize-grain",
    planted_on: date = SOWN,
    area_m2: float = 100,
    home: HouseholdRow | None = None,
    facts: Sequence[PlantingFactRow] = (),
    holds: Sequence[HoldRow] = (),
    rows: Sequence[DoseRow] = (),
    doses: Sequence[PlannedDose] = (),
    dropped: Sequence[DroppedDose] = (),
    emergence_on: date = date(2027, 3, 21),
    emergence_assumed: bool = True,
    first_harvest_on: date = date(2027, 7, 1),
    water_ratio: float | None = None,
    hazards: str | None = None,
    transplanted: bool | None = None,
    recorded_at: datetime = NOW,
    book: LocalityBook = NO_BOOK,
) -> Planned:
    """Return an open planting with a plan, of maize on 100 m² unless it is said otherwise."""
    bundle = PlantingBundle(
        planting=PlantingRow(
            id=planting,
            crop=crop,
            planted_on=planted_on,
            season=Season.RAINS,
            water_ratio=water_ratio,
            transplanted=transplanted,
            recorded_at=recorded_at,
        ),
        plot=PlotRow(letter=letter, area_m2=area_m2, soil=Soil.NORMAL, hazards=hazards),
        household=a_home() if home is None else home,
        facts=tuple(facts),
        holds=tuple(holds),
        doses=tuple(rows),
        book=book,
    )
    plan = SeasonPlan(
        doses=tuple(doses),
        dropped=tuple(dropped),
        cutoff_on=date(2027, 6, 1),
        cutoff_rule=CutoffRule.ONE_MONTH,
        emergence_on=emergence_on,
        emergence_assumed=emergence_assumed,
        first_harvest_on=first_harvest_on,
        season_days=120,
        target_litres=150,
        shortfall_litres=0,
        warnings=(),
    )
    return Planned(bundle=bundle, plan=plan)


def a_can(
    *events: tuple[CanEventKind, date],
    number: int = 1,
    litres: float = 20,
    home: int = HOME,
) -> ContainerBundle:
    """Return a container with what happened to it; its id is 40 and its number."""
    return ContainerBundle(
        container=ContainerRow(
            id=40 + number, household_id=home, number=number, litres=litres, longer_rest=False
        ),
        events=tuple(
            ContainerEventRow(kind=kind, on=on, source=Source.CALL, recorded_at=NOW)
            for kind, on in events
        ),
        regime=Regime.GENERAL,
        area_id=3,
    )


def standing(
    cans: Iterable[ContainerBundle], *, today: date, uses: Sequence[DoseUse] = ()
) -> dict[int, tuple[Can, ...]]:
    """Return the containers as they stand, by household."""
    told = stores(list(cans), uses, book=NO_BOOK, today=today)
    return {home: store.cans for home, store in told.items()}


def a_board(  # noqa: PLR0913 -- a factory: every part has its usual value
    *plantings: Planned,
    today: date,
    cans: Sequence[ContainerBundle] = (),
    gets: Mapping[int, Mapping[tuple[int, int], Allotment]] | None = None,
    phones: Sequence[PhoneBundle] = (),
    told: Mapping[int, Told] | None = None,
    ended: Sequence[PlantingBundle] = (),
    waiting: Mapping[int, str] | None = None,
    used: frozenset[tuple[int, date]] = frozenset(),
    paused: frozenset[int] = frozenset(),
) -> Board:
    """Return an association on a day; `gets` says by household what its doses get, if not all."""
    growing = {home: tuple(own) for home, own in by_household(plantings).items()}
    stand = standing(cans, today=today)
    stock = {
        home: household_stock(own, stand.get(home, ()), today=today)
        for home, own in growing.items()
    }
    for home, allotted in (gets or {}).items():
        before = stock[home]
        stock[home] = HouseholdStock(
            asks=before.asks, stocks=before.stocks, allotted={**before.allotted, **allotted}
        )
    return Board(
        today=today,
        phones=tuple(phones),
        texted_on=phones_by_household(phones),
        growing=growing,
        ended=tuple(ended),
        cans=stand,
        stock=stock,
        told=told or {},
        used=used,
        waiting=waiting or {},
        paused=paused,
    )


def a_phone(*homes: HouseholdRow, phone: int = 7) -> PhoneBundle:
    """Return a phone on which these households have agreed to be texted."""
    spoken = [ConsentEventRow(kind=Consent.VERBAL, household_id=home.id) for home in homes]
    return PhoneBundle(
        phone=PhoneRow(id=phone, number="", language="en"),
        households=homes,
        consents=(*spoken, ConsentEventRow(kind=Consent.GIVEN, household_id=None)),
    )
