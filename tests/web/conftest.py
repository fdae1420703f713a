"""The pages' app over a small association, and those who look at it. Forgery checks stay on."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from flask import Flask
from flask.testing import FlaskClient
from playwright.sync_api import Browser, sync_playwright

from tests.web.browser import start_chromium
from tests.web.demo_pages import Demo, Windows, demo_in
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
def wall() -> Wall:
    """The true time, which a sign-in lasts by."""
    return Wall()


@pytest.fixture
def app(world: World, wall: Wall) -> Flask:
    """The pages over that service."""
    return office_of(world, wall)


@pytest.fixture
def client(app: Flask, world: World) -> FlaskClient:
    """The browser of Neema Test, coordinator of association 1, who reads English."""
    return browser_of(app, visit_token(world))


@pytest.fixture
def visitor(app: Flask) -> FlaskClient:
    """The browser of someone who has not signed in."""
    return app.test_client()


@pytest.fixture(scope="session")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Demo]:
    """The demo's pages some weeks into the season; tests look at them and change nothing."""
    with demo_in(tmp_path_factory.mktemp("demo")) as made:
        yield made


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A real browser; where there is none, the test fails."""
    with sync_playwright() as play:
        browser = start_chromium(play)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def windows(chromium: Browser, demo: Demo) -> Iterator[Windows]:
    """Browser windows before the demo's pages."""
    made = Windows(chromium, demo)
    yield made
    made.close()
