"""Fixtures: a valid folder and an empty database."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from service.records.engine import Sessions
from tests.unit.intake.folders import a_database, a_folder


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A valid folder of three households."""
    return a_folder(tmp_path)


@pytest.fixture
def sessions(tmp_path: Path) -> Iterator[Sessions]:
    """An empty SQLite database in a file."""
    with a_database(tmp_path) as opened:
        yield opened
