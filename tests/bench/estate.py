"""Made-up associations in PostgreSQL, made once a run for every benchmark that asks for a size."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime

from sqlalchemy import Engine

from service.records.engine import Sessions, open_engine
from service.records.migrate import upgrade
from tests.bench.life import OPENS_ON, a_life, rows_of
from tests.bench.loading import load, vacuum
from tests.pg import Cluster, cluster

ASSOCIATION = 1
NOW = datetime(2027, 2, 28, 4, 0, tzinfo=UTC)
# the same season with all plots planted within two days, so that stock decides in each household
_CROWD = (
    """CREATE TEMP TABLE shift AS SELECT id, (planted_on - date '{day}') - 1
       - mod(planted_on - date '{day}', 2) AS days FROM planting""",
    """UPDATE planting SET planted_on = planted_on - days,
       first_harvest_on = first_harvest_on - days FROM shift WHERE shift.id = planting.id""",
    """UPDATE planting_fact SET "on" = "on" - days FROM shift WHERE shift.id = planting_id""",
    "DROP TABLE shift",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A database with an association of so many plots."""

    engine: Engine
    sessions: Sessions
    plots: int

    def empty(self) -> None:
        """Take out every dose, and write down what is open, so that each run starts alike."""
        with self.engine.begin() as connection:
            connection.exec_driver_sql("TRUNCATE dose CASCADE")
        with self.engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("CHECKPOINT")

    def vacuum(self) -> None:
        """Bring the planner's statistics up to date."""
        vacuum(self.engine)

    def crowd(self) -> None:
        """Let all be planted within two days of the season's eve."""
        with self.engine.begin() as connection:
            for step in _CROWD:
                connection.exec_driver_sql(step.format(day=OPENS_ON))
        vacuum(self.engine)


@dataclass(kw_only=True)
class Estate:
    """The databases made so far, by their number of plots."""

    running: Cluster
    seed: int
    places: dict[int, Place] = field(default_factory=dict)

    def place(self, plots: int) -> Place:
        """Return the database of so many plots."""
        if plots not in self.places:
            self.places[plots] = self._made(plots)
        return self.places[plots]

    def close(self) -> None:
        """Let every connection go."""
        for place in self.places.values():
            place.engine.dispose()

    def _made(self, plots: int) -> Place:
        name = f"life_{plots}"
        engine = open_engine(self.running.url())
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql(f"CREATE DATABASE {name}")
        engine.dispose()
        engine = open_engine(self.running.url(name))
        upgrade(engine)
        load(engine, rows_of(a_life(plots, seed=self.seed)))
        return Place(engine=engine, sessions=Sessions(engine), plots=plots)


@contextmanager
def estate(seed: int) -> Iterator[Estate]:
    """Give the made-up databases of a run; they end with it."""
    with cluster() as running:
        made = Estate(running=running, seed=seed)
        try:
            yield made
        finally:
            made.close()
