"""The pages over a small association, for the rows that a coordinator meets on them.

And each installed gateway with its far end, for the rows of the contract between the two.
"""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tests.gateways.http_form_line import http_form_line  # noqa: F401 -- a fixture
from tests.gateways.lines import fake_line, line  # noqa: F401 -- fixtures
from tests.gateways.serial_modem_line import serial_modem_line  # noqa: F401 -- a fixture
from tests.gateways.smpp_line import smpp_line  # noqa: F401 -- a fixture
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
