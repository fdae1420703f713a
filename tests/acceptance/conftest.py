"""The pages over a small association, for the rows that a coordinator meets on them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import World, an_association


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A small association's service, with time that the test moves."""
    made = World(folder=tmp_path)
    an_association(made)
    yield made
    made.close()


@pytest.fixture
def client(world: World) -> FlaskClient:
    """The browser of Neema Test, coordinator of association 1, who reads English."""
    return browser_of(office_of(world, Wall()), visit_token(world))
