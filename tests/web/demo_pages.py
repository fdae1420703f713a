"""The demo's pages as several people see them, served on a port of this machine."""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from flask import Flask
from flask.testing import FlaskClient
from playwright.sync_api import Browser
from werkzeug.routing import Rule

from service.records.staff import Role
from service.sign_in.staff import NewStaff
from service.web.here import EXTENSION, Office
from service.web.serving import Server
from service.web.tongue import SOURCE
from tests.web.addresses import Ask, asks_of
from tests.web.browser import Looker, Screen, looking
from tests.web.demo_office import lived_in
from tests.web.longer import LONG, LONGER
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import World

LANGUAGES = ("en", "sw", LONG)


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """The demo's office: its world, and its pages and a signed-in client for each language."""

    world: World
    apps: dict[str, Flask]
    clients: dict[str, FlaskClient]

    def client(self, ask: Ask, language: str = "en") -> FlaskClient:
        """Return the client to whom the page is open: a visitor where nobody need sign in."""
        return self.apps[language].test_client() if ask.open else self.clients[language]

    def pages(self, rule: Rule) -> list[Ask]:
        """Return the addresses of one rule that show a page, and not a file or another page."""
        asked = list(asks_of(self.world, rule, "GET"))
        return [ask for ask in asked if self.client(ask).get(ask.path).mimetype == "text/html"]


@contextmanager
def demo_in(folder: Path) -> Iterator[Demo]:
    """Give the demo's office in a folder, in English, Swahili and longer English."""
    world = lived_in(folder)
    wall = Wall(now=world.now)
    app, long_app = office_of(world, wall), office_of(world, wall)
    office: Office = long_app.extensions[EXTENSION]
    long_app.extensions[EXTENSION] = replace(office, tongues={SOURCE: LONGER})
    apps = {"en": app, "sw": app, LONG: long_app}
    clients = {
        language: browser_of(apps[language], visit_token(world, _someone(language), now=world.now))
        for language in LANGUAGES
    }
    yield Demo(world=world, apps=apps, clients=clients)
    world.close()


def _someone(language: str) -> NewStaff:
    return NewStaff(
        name=f"neema-{language}",
        shown="Neema Test",
        role=Role.COORDINATOR,
        language=SOURCE if language == LONG else language,
    )


class Windows:
    """Browser windows before the demo's pages, one for each way to look, kept open."""

    def __init__(self, browser: Browser, demo: Demo) -> None:
        self.demo = demo
        self._browser = browser
        self._stack = ExitStack()
        self._open: dict[tuple[Screen, str, bool], Looker] = {}
        self._servers = {
            language: Server(app, host="127.0.0.1", port=0) for language, app in demo.apps.items()
        }
        for server in self._servers.values():
            server.start()

    def window(self, ask: Ask, screen: Screen, language: str = "en") -> Looker:
        """Return the window for a page that shows it to whom it is open."""
        key = (screen, language, ask.open)
        if key not in self._open:
            locale = SOURCE if language == LONG else language
            self._open[key] = self._stack.enter_context(
                looking(
                    self._browser,
                    self._servers[language].address,
                    replace(screen, locale=locale),
                    signed_in=None if ask.open else self.demo.clients[language],
                )
            )
        return self._open[key]

    def close(self) -> None:
        """Close the windows and the server."""
        self._stack.close()
        for server in self._servers.values():
            server.close()
