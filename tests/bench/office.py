"""The coordinator's pages over a crowd, asked through WSGI in this process, signed in."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from time import perf_counter
from typing import Any

from flask.testing import FlaskClient
from sqlalchemy import Engine, event

from gateway_adapters.fake import FakeGateway
from service.bootstrap import build
from service.clock import system_clock
from service.config import Profile, Settings
from service.records.engine import Sessions
from service.records.staff import Role, StaffRow
from service.route_settings import RouteSettings
from service.sign_in.staff import By, NewStaff, add_staff
from service.sign_in.visits import open_visit
from service.web.app import create_app
from service.web.sign_in import TOKEN
from service.web.style import SHEET
from tests.bench.crowd import ASSOCIATION, RATE
from tests.fresh import TEXTS, shipped_texts

SECRET_KEY = "a key of the benchmarks, long enough"  # noqa: S105 -- opens nothing but a made-up office
SIGN_IN = ("FROM staff_session", "FROM association")  # who asks, not what the page shows
NEEMA = NewStaff(name="neema", shown="Neema Test", role=Role.COORDINATOR, language="en")

Asked = tuple[str, Any]


@dataclass(kw_only=True)
class Office:
    """A signed-in browser, and the looks into the database that each page takes."""

    client: FlaskClient
    engine: Engine
    looks: dict[str, list[Asked]] = field(default_factory=dict)

    def page(self, path: str) -> bytes:
        """Return a page.

        Raises:
            SystemExit: it is not shown.
        """
        answer = self.client.get(path)
        if answer.status_code != 200:
            raise SystemExit(f"{path} was answered with {answer.status}.")
        return bytes(answer.data)

    def weight(self, path: str) -> int:
        """Return the bytes of a page with its sheet."""
        return len(self.page(path)) + len(SHEET.encode())

    def learn(self, paths: Sequence[str]) -> None:
        """Note what each page asks the database, beside who it is that asks."""
        for path in paths:
            self.page(path)  # the first time something is set up that stays
            with _noted(self.engine) as noted:
                self.page(path)
            own = [look for look in noted if not any(word in look[0] for word in SIGN_IN)]
            self.looks[path] = own

    def look(self, path: str) -> None:
        """Ask what a page asks, through the driver alone, and do nothing with the rows."""
        with self.engine.connect() as connection:
            raw: Any = connection.connection.driver_connection
            for statement, parameters in self.looks[path]:
                raw.execute(statement, parameters).fetchall()
            raw.rollback()


def p95_s(ask: Callable[[str], object], paths: Sequence[str], times: int) -> float:
    """Return the seconds within which 95 of 100 askings end."""
    took = []
    for turn in range(times):
        began = perf_counter()
        ask(paths[turn % len(paths)])
        took.append(perf_counter() - began)
    return sorted(took)[int(len(took) * 0.95)]


def office(sessions: Sessions) -> Office:
    """Return the office of a crowd's coordinator."""
    url = sessions.engine.url.render_as_string(hide_password=False)
    services = build(
        Settings(
            profile=Profile.LIVE,
            database_url=url,
            texts=TEXTS,
            test_numbers=frozenset(),
            allowed_countries=("TZ",),
            secret_key=SECRET_KEY,
            routes=(
                RouteSettings(
                    name="main",
                    association=None,
                    adapter="fake",
                    sender="15050",
                    rate_per_s=RATE,
                    settings={},
                ),
            ),
        ),
        gateway=FakeGateway(clock=system_clock),
        catalogue=shipped_texts(),
        clock=system_clock,
    )
    now = system_clock()
    with services.sessions.begin() as session:
        by = By(who="bench", origin="bench")
        staff_id = add_staff(session, ASSOCIATION, NEEMA, by=by, now=now)
        token = open_visit(session, session.get_one(StaffRow, staff_id), now=now)
    client = create_app(services, wall=system_clock).test_client()
    with client.session_transaction() as cookie:
        cookie[TOKEN] = token
    return Office(client=client, engine=services.sessions.engine)


@contextmanager
def _noted(engine: Engine) -> Iterator[list[Asked]]:
    noted: list[Asked] = []

    def note(
        _connection: object, _cursor: object, statement: str, values: object, *_: object
    ) -> None:
        noted.append((statement, values))

    event.listen(engine, "before_cursor_execute", note)
    try:
        yield noted
    finally:
        event.remove(engine, "before_cursor_execute", note)
