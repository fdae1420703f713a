"""How long a running process plans before it sends again."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from service.bootstrap import Services
from service.cli.processes import at_its_pace
from service.config import Profile
from service.planning.planners import Pace
from tests.world import World


@pytest.fixture
def services(tmp_path: Path) -> Iterator[Services]:
    """The services of a small world."""
    world = World(folder=tmp_path)
    yield world.services
    world.close()


def test_a_process_in_life_shares_the_planning_and_stops_for_what_is_due(
    services: Services,
) -> None:
    assert at_its_pace(services).pace == Pace(shared=True, at_most_s=1.0)


def test_the_demo_plans_everything_whenever_its_time_moves(services: Services) -> None:
    demo = replace(services, settings=replace(services.settings, profile=Profile.DEMO))

    assert at_its_pace(demo).pace == Pace()
