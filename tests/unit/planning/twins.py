"""Two databases with the same association, planned in one go and household by household."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime

from sqlalchemy import Engine, select

from service.agronomy.calendar import add_days
from service.planning.bulk import plan_all
from service.planning.refresh import refresh_household
from service.records.engine import Session, Sessions, open_engine
from service.records.fields import DoseRow
from service.records.migrate import upgrade
from service.records.people import HouseholdRow
from tests.bench.life import OPENS_ON, Life, a_life, rows_of
from tests.bench.loading import load_typed

NOW = datetime(2027, 2, 28, 4, 0, tzinfo=UTC)
PLOTS = 24
EVE, SOON, LATER = OPENS_ON, add_days(OPENS_ON, 3), add_days(OPENS_ON, 20)
LONG_BEFORE = add_days(OPENS_ON, -7)

Change = Callable[[Session], object]
Twins = tuple[Sessions, Sessions]


def a_small_life(*, crowded: bool) -> Life:
    """Return the association; crowded, all is planted within two days, so that stock decides."""
    life = a_life(PLOTS, seed=7)
    return replace(life, planted_days=life.planted_days % 2 + 1) if crowded else life


@dataclass(kw_only=True)
class Makers:
    """Makes databases with the same association in them, and lets them go at the end."""

    url: Callable[[str], str]
    made: list[Engine] = field(default_factory=list)

    def one(self, life: Life) -> Sessions:
        """Return a new database."""
        engine = open_engine(self.url(f"twin_{len(self.made)}"))
        self.made.append(engine)
        upgrade(engine)
        load_typed(engine, rows_of(life))
        return Sessions(engine)

    def two(self, life: Life) -> Twins:
        """Return two new databases."""
        return self.one(life), self.one(life)

    def close(self) -> None:
        """Let every connection go."""
        for engine in self.made:
            engine.dispose()


def planned_at_once(sessions: Sessions, today: date) -> int:
    with sessions.begin() as session:
        return plan_all(session, 1, today=today, now=NOW).single_households


def planned_singly(sessions: Sessions, today: date) -> None:
    with sessions.begin() as session:
        for household_id in session.scalars(select(HouseholdRow.id).order_by(HouseholdRow.id)):
            refresh_household(session, 1, household_id, today=today, now=NOW)


def stored(sessions: Sessions) -> list[tuple[object, ...]]:
    columns = [column for column in DoseRow.__table__.columns if column.name != "id"]
    with sessions.read() as session:
        query = select(*columns).order_by(DoseRow.planting_id, DoseRow.number)
        return [tuple(row) for row in session.execute(query)]


def changed(databases: Iterable[Sessions], change: Change) -> None:
    for sessions in databases:
        with sessions.begin() as session:
            change(session)
