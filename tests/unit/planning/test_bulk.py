"""A whole association planned in one go has the rows that each household's own plan has."""

from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest
from sqlalchemy import func, select

from service.agronomy.calendar import add_days
from service.planning.bulk import BulkResult, plan_all
from service.records.bulk_looks import household_spans
from service.records.engine import open_engine
from service.records.fields import DoseRow, FactKind
from service.records.people import HouseholdRow
from tests.fresh import fresh_file
from tests.pg import cluster, has_postgres
from tests.unit.planning.twins import (
    EVE,
    LATER,
    LONG_BEFORE,
    NOW,
    PLOTS,
    SOON,
    Change,
    Makers,
    Twins,
    a_small_life,
    changed,
    planned_at_once,
    planned_singly,
    stored,
)
from tests.unit.planning.twins_news import (
    a_banana_in_known_rains,
    a_dose_told,
    a_fact,
    a_grower_s_rain,
    a_local_season,
    a_longer_pattern,
    a_plot_at_risk,
    a_wet_week,
    other_eaters,
    small_cans,
)


@pytest.fixture
def sqlite(tmp_path: Path) -> Iterator[Makers]:
    """Databases in files."""

    def url(name: str) -> str:
        return fresh_file(tmp_path / f"{name}.db")

    makers = Makers(url=url)
    yield makers
    makers.close()


@pytest.fixture(scope="module")
def postgres() -> Iterator[Makers]:
    """Databases of a cluster of PostgreSQL."""
    if not has_postgres() or find_spec("psycopg") is None:
        pytest.skip(reason="PostgreSQL or psycopg is not installed")
    with cluster(fsync="off", shared_buffers="32MB") as running:
        admin = open_engine(running.url()).execution_options(isolation_level="AUTOCOMMIT")

        def url(name: str) -> str:
            with admin.connect() as connection:
                connection.exec_driver_sql(f"CREATE DATABASE {name}")
            return running.url(name)

        makers = Makers(url=url)
        yield makers
        makers.close()
        admin.dispose()


def hold_alike(twins: Twins, change: Change) -> None:
    """Plan both ways before, on the eve, and later; what changes becomes known on the eve."""
    at_once, singly = twins
    planned_at_once(at_once, LONG_BEFORE)
    planned_singly(singly, LONG_BEFORE)
    changed(twins, change)
    for today in (EVE, LATER):
        planned_at_once(at_once, today)
        planned_singly(singly, today)

        assert stored(at_once) == stored(singly)


@pytest.mark.parametrize(
    "change",
    [
        pytest.param(a_local_season, id="a local season"),
        pytest.param(a_wet_week, id="a hold for an area"),
        pytest.param(a_banana_in_known_rains, id="a crop that bears for years"),
        pytest.param(a_grower_s_rain, id="a hold for a plot"),
        pytest.param(a_longer_pattern, id="a local pattern with more doses"),
        pytest.param(other_eaters, id="other eaters"),
        pytest.param(small_cans, id="small cans"),
        pytest.param(a_plot_at_risk, id="plots at risk"),
        pytest.param(a_dose_told, id="a dose told"),
        pytest.param(a_fact(FactKind.EMERGED, 4, SOON), id="plants that are up"),
        pytest.param(a_fact(FactKind.SOWN, 4, SOON), id="a day of sowing"),
        pytest.param(a_fact(FactKind.APPLIED, 4, EVE, 1), id="a dose given"),
        pytest.param(a_fact(FactKind.BURNT, 4, EVE), id="leaves that are burnt"),
    ],
)
def test_all_at_once_stores_what_household_by_household_stores(
    sqlite: Makers, change: Change
) -> None:
    hold_alike(sqlite.two(a_small_life(crowded=True)), change)


def test_postgresql_stores_what_household_by_household_stores(postgres: Makers) -> None:
    hold_alike(postgres.two(a_small_life(crowded=True)), a_local_season)


def test_plots_planted_through_a_season_are_stored_alike_on_each_of_its_days(
    sqlite: Makers,
) -> None:
    at_once, singly = sqlite.two(a_small_life(crowded=False))
    for days in (-7, 30, 60):
        planned_at_once(at_once, add_days(EVE, days))
        planned_singly(singly, add_days(EVE, days))

        assert stored(at_once) == stored(singly)


def test_a_season_that_has_not_begun_is_planned_without_a_single_household(
    sqlite: Makers,
) -> None:
    at_once = sqlite.one(a_small_life(crowded=True))

    assert planned_at_once(at_once, EVE) == 0
    assert len({row[1] for row in stored(at_once)}) == PLOTS


def test_planning_again_changes_nothing(sqlite: Makers) -> None:
    at_once = sqlite.one(a_small_life(crowded=True))
    planned_at_once(at_once, EVE)
    before = stored(at_once)

    with at_once.begin() as session:
        again = plan_all(session, 1, today=EVE, now=NOW)

    assert again == BulkResult(stored=0, changed=0, single_households=0)
    assert stored(at_once) == before


def test_cans_that_hold_too_little_cut_the_doses_that_are_near(sqlite: Makers) -> None:
    at_once = sqlite.one(a_small_life(crowded=True))
    changed((at_once,), small_cans)

    planned_at_once(at_once, EVE)

    with at_once.read() as session:
        short = select(func.count()).where(DoseRow.short_l > 0)
        assert session.scalar(short.where(DoseRow.due_on <= add_days(EVE, 2)))
        assert not session.scalar(short.where(DoseRow.due_on > add_days(EVE, 2)))


def test_a_span_of_households_is_as_good_as_all(sqlite: Makers) -> None:
    at_once = sqlite.one(a_small_life(crowded=True))
    with at_once.read() as session:
        spans = list(household_spans(session, 1, size=4))
        count = session.scalar(select(func.count()).select_from(HouseholdRow))

    assert sum(last - first + 1 for first, last in spans) == count
    assert [first for first, _ in spans] == list(range(1, (count or 0) + 1, 4))
