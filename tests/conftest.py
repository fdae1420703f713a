"""Hypothesis profiles: `dev` unless the command line says `--hypothesis-profile=ci`."""

import gc
import os

import pytest
from hypothesis import settings

from tests import fresh
from tests.given_ids import heed_given_ids

# A busy two-core machine is slow now and then; that is not a fault of the code under test.
settings.register_profile("dev", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("dev")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Put files with a test marked `long` first, so that none of them is left over at the end."""
    long = {item.path for item in items if item.get_closest_marker("long")}
    items.sort(key=lambda item: item.path not in long)


def pytest_addoption(parser: pytest.Parser) -> None:
    """Add the choices of the database, and of how long the faults go on."""
    parser.addoption("--faults", choices=("short", "full"), default="short", help="how many faults")
    parser.addoption("--database", choices=fresh.KINDS, help="what the tests keep records in")


def pytest_configure(config: pytest.Config) -> None:
    """Let every process of the run know the choice."""
    gc.set_threshold(50_000, 20, 50)  # the rows of a thousand databases are walked less often
    if chosen := config.getoption("--database"):
        os.environ[fresh.KIND] = chosen
    if fresh.on_postgresql():
        heed_given_ids()


def pytest_unconfigure() -> None:
    """End what the run started."""
    fresh.end_server()
