"""How long the faults go on: a few in every run, many with `--faults full`.

A run of all tests goes through those of workers on both databases, so it has twice as many.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.records.engine import Sessions, open_engine
from tests.faults.place import Place
from tests.fresh import forget_database, fresh_database

SHORT = {
    "kills": 20,
    "freezes": 3,
    "crashes": 1,
    "texts_in_moods": 200,
    "evenings": 4,
    "crash_days": 30,
    "season_days": 8,
}
FULL = {
    "kills": 500,
    "freezes": 30,
    "crashes": 5,
    "texts_in_moods": 2_000,
    "evenings": 30,
    "crash_days": 330,
    "season_days": 330,
}


def _many(request: pytest.FixtureRequest, name: str) -> int:
    return (FULL if request.config.getoption("--faults") == "full" else SHORT)[name]


@pytest.fixture
def kills(request: pytest.FixtureRequest) -> int:
    """Return how often a worker is killed."""
    return _many(request, "kills")


@pytest.fixture
def freezes(request: pytest.FixtureRequest) -> int:
    """Return how often a worker is frozen."""
    return _many(request, "freezes")


@pytest.fixture
def crashes(request: pytest.FixtureRequest) -> int:
    """Return how often a database server is ended in each of the two ways."""
    return _many(request, "crashes")


@pytest.fixture
def texts_in_moods(request: pytest.FixtureRequest) -> int:
    """Return how many texts go through a gateway in every mood."""
    return _many(request, "texts_in_moods")


@pytest.fixture
def evenings(request: pytest.FixtureRequest) -> int:
    """Return for how many evenings two schedulers run at once."""
    return _many(request, "evenings")


@pytest.fixture
def place(tmp_path: Path) -> Iterator[Place]:
    """A database of the run's kind, without a text, and a pretend network."""
    url = fresh_database(tmp_path)
    sessions = Sessions(open_engine(url))
    yield Place(url=url, sessions=sessions, network=tmp_path / "network")
    sessions.engine.dispose()
    forget_database(tmp_path)


@pytest.fixture
def season_days(request: pytest.FixtureRequest) -> int:
    """Return how many days of the demo's season are played over many processes."""
    return _many(request, "season_days")


@pytest.fixture
def crash_days(request: pytest.FixtureRequest) -> int:
    """Return how many days of the demo's season are played by a process that is killed."""
    return _many(request, "crash_days")
