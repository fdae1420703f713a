"""A running service, or a bare database, for the tests of its parts."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.records.engine import Sessions, open_engine
from tests.fresh import forget_database, fresh_database
from tests.world import World


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A small association's service, with time that the test moves."""
    made = World(folder=tmp_path)
    yield made
    made.close()


@pytest.fixture
def sessions(tmp_path: Path) -> Iterator[Sessions]:
    """An empty database of this version."""
    made = Sessions(open_engine(fresh_database(tmp_path)))
    yield made
    made.engine.dispose()
    forget_database(tmp_path)
