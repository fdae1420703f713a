"""The commands with a database: migrate, import, tick, text, serve, and their refusals."""

import os
import signal
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.bootstrap import Services, build
from service.cli.clockwork import instant
from service.cli.main import cli
from service.cli.processes import asked_to_stop, run_until_stopped
from service.config import load_settings
from service.errors import RefusedError
from service.records.engine import Sessions, open_engine
from service.records.migrate import current_revision
from service.records.people import HouseholdRow
from service.records.plantings import associations
from service.records.pretend import pretend_now
from service.records.traffic import InboundRow, MessageRow
from service.web.app import create_app
from service.web.serving import Server
from tests.fresh import database_url, fresh_database, no_tables
from tests.unit.intake.folders import a_folder
from tests.web.staff import SECRET_KEY
from tests.world import PHONE, World, an_association, enrol, settings_for
from tests.world_facts import other_association

SETTINGS = """\
test_numbers = [{numbers}]
allowed_countries = ["TZ", "KE"]

[route]
adapter = "fake"
sender = "15050"

[route.settings]
folder = "{folder}/network"
"""


class Place:
    """A folder with settings and a database, and the commands run in it."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.database = database_url(folder)
        numbers = ", ".join(f'"+2551000000{number:02}"' for number in range(100))
        file = folder / "furrowbell.toml"
        file.write_text(SETTINGS.format(folder=folder, numbers=numbers), encoding="utf-8")
        self.environment = {
            "FURROWBELL_SETTINGS": str(file),
            "FURROWBELL_DATABASE_URL": self.database,
            "FURROWBELL_PROFILE": "live",
        }

    def run(self, *words: str, typed: str | None = None, **environment: str) -> Result:
        """Run a command, with what is typed into it, and return what came of it."""
        return CliRunner().invoke(cli, words, input=typed, env=self.environment | environment)

    def sessions(self) -> Sessions:
        """Open the database to look at it."""
        return Sessions(open_engine(self.database))


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """A place with an up-to-date, empty database."""
    made = Place(tmp_path)
    fresh_database(tmp_path)
    return made


@pytest.fixture
def living(tmp_path: Path) -> Place:
    """A place with an association whose first dose is due on 15 March."""
    world = World(folder=tmp_path)
    enrol(world)
    world.leave()
    return Place(tmp_path)


def dose_texts(place: Place) -> list[str]:
    sessions = place.sessions()
    with sessions.read() as session:
        found = [row.state.value for row in session.query(MessageRow) if row.kind == "dose_rain"]
    sessions.engine.dispose()
    return found


def refused(result: Result) -> str:
    """Return the sentence of a refusal: exit 2, standard error, nothing else said."""
    assert (result.exit_code, result.stdout) == (2, "")
    assert "Traceback" not in result.stderr
    return result.stderr


def test_migrate_makes_the_tables_and_may_be_run_again(tmp_path: Path) -> None:
    no_tables(tmp_path)
    place = Place(tmp_path)

    results = [place.run("migrate") for _ in range(2)]

    assert [(result.exit_code, result.stdout) for result in results] == [
        (0, "The database is up to date.\n")
    ] * 2
    engine = open_engine(place.database)
    assert current_revision(engine) is not None
    engine.dispose()


def test_an_import_says_what_it_did_and_the_second_time_that_nothing_changed(
    place: Place, tmp_path: Path
) -> None:
    """In the demo's time, so that what the folder tells of February 2027 is past."""
    folder, demo = a_folder(tmp_path), {"FURROWBELL_PROFILE": "demo"}
    place.run("tick", "--at", "2027-02-22T10:00+03:00", **demo)

    first, second = (place.run("import", str(folder), **demo) for _ in range(2))

    assert (first.exit_code, first.stdout) == (0, "19 added, 0 changed, 0 as they were.\n")
    assert (second.exit_code, second.stdout) == (0, "0 added, 0 changed, 19 as they were.\n")
    sessions = place.sessions()
    with sessions.read() as session:
        assert len(session.query(HouseholdRow).all()) == 3
    sessions.engine.dispose()


def test_an_import_of_nothing_is_refused_and_stores_nothing(place: Place, tmp_path: Path) -> None:
    result = place.run("import", str(tmp_path / "nothing"))

    assert refused(result)
    sessions = place.sessions()
    with sessions.read() as session:
        assert associations(session) == []
    sessions.engine.dispose()


@pytest.mark.parametrize(
    ("at", "texts"),
    [
        pytest.param("2027-03-14T17:59+03:00", ["queued"], id="a minute before"),
        pytest.param("2027-03-14T18:00+03:00", ["delivered"], id="with the zone's offset"),
        pytest.param("2027-03-14T15:00+00:00", ["delivered"], id="the same instant in UTC"),
        pytest.param("2027-03-14T15:00Z", ["delivered"], id="and with a Z"),
        pytest.param("2027-03-14T18:00", ["delivered"], id="without: in the association's zone"),
        pytest.param("2027-03-14T15:00", ["queued"], id="which is not UTC"),
    ],
)
def test_a_tick_runs_one_step_at_an_instant(living: Place, at: str, texts: list[str]) -> None:
    result = living.run("tick", "--at", at)

    assert (result.exit_code, result.stdout, result.stderr) == (0, "", "")
    assert dose_texts(living) == texts


def test_a_tick_twice_sends_once(living: Place) -> None:
    for _ in range(2):
        living.run("tick", "--at", "2027-03-14T18:00")

    assert dose_texts(living) == ["delivered"]


def test_a_tick_without_an_instant_runs_now(living: Place) -> None:
    result = living.run("tick")

    assert (result.exit_code, result.stderr) == (0, "")


@pytest.mark.parametrize("at", ["tomorrow", "2027-13-01T18:00", "18:00", ""])
def test_an_instant_that_cannot_be_read_is_refused(living: Place, at: str) -> None:
    assert "--at needs an instant such as 2027-03-27T18:00" in refused(
        living.run("tick", "--at", at)
    )


def test_without_an_association_an_instant_needs_its_offset(place: Place) -> None:
    assert "with its offset" in refused(place.run("tick", "--at", "2027-03-14T18:00"))
    assert place.run("tick", "--at", "2027-03-14T18:00+03:00").exit_code == 0


def test_where_zones_differ_an_instant_needs_its_offset(world: World) -> None:
    an_association(world)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock(), zone="Asia/Kathmandu", country="NP"))

    with pytest.raises(RefusedError, match="with its offset") as caught:
        instant(world.services, "2027-03-14T18:00")

    assert caught.value.code == "at"
    assert instant(world.services, "2027-03-14T18:00+05:45") == datetime(
        2027, 3, 14, 12, 15, tzinfo=UTC
    )


def test_in_the_demo_a_tick_moves_the_shared_time_and_never_back(living: Place) -> None:
    demo = {"FURROWBELL_PROFILE": "demo"}
    forward = living.run("tick", "--at", "2027-03-14T18:00", **demo)
    back = living.run("tick", "--at", "2027-03-14T17:00", **demo)

    assert forward.exit_code == 0
    assert "only moves forward" in refused(back)
    sessions = living.sessions()
    with sessions.read() as session:
        assert pretend_now(session) == datetime(2027, 3, 14, 15, 0, tzinfo=UTC)
    sessions.engine.dispose()
    assert dose_texts(living) == ["delivered"]


def test_a_text_of_a_grower_is_taken_in_with_the_next_step(living: Place) -> None:
    living.run("tick", "--at", "2027-03-14T18:00")

    sent = living.run("text", "--from", PHONE, "A1", "done")
    living.run("tick", "--at", "2027-03-15T12:00")

    assert (sent.exit_code, sent.stdout) == (0, "Sent. The answer comes with the next step.\n")
    sessions = living.sessions()
    with sessions.read() as session:
        (row,) = session.query(InboundRow).all()
        assert (row.text, row.sender, row.meaning) == ("A1 done", PHONE, "done")
    sessions.engine.dispose()


@pytest.mark.parametrize(
    "words", [("tick",), ("serve",), ("text", "--from", PHONE, "A1"), ("import", ".")]
)
def test_a_database_that_is_not_up_to_date_is_refused(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    no_tables(tmp_path)

    assert "run `furrowbell migrate`" in refused(Place(tmp_path).run(*words))


@pytest.mark.parametrize("words", [("tick",), ("migrate",)])
def test_a_database_that_cannot_be_reached_is_said_plainly(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    result = Place(tmp_path).run(*words, FURROWBELL_DATABASE_URL="sqlite:////nowhere/at/all.db")

    assert refused(result).startswith("The database cannot be used: ")


@pytest.mark.parametrize(
    "words", [("tick",), ("migrate",), ("serve",), ("text", "--from", PHONE, "A1")]
)
def test_wrong_settings_are_refused_with_every_fault(
    tmp_path: Path, words: tuple[str, ...]
) -> None:
    result = Place(tmp_path).run(
        *words, FURROWBELL_PROFILE="trial", FURROWBELL_DATABASE_URL="furrowbell.db"
    )

    assert refused(result).splitlines() == [
        "profile must be live or demo.",
        "database_url must be an address such as sqlite:////srv/furrowbell/furrowbell.db.",
    ]


def test_the_command_names_its_parts_and_its_version() -> None:
    names = CliRunner().invoke(cli, ["--help"]).stdout
    version = CliRunner().invoke(cli, ["--version"]).stdout

    assert all(
        name in names
        for name in ("plan", "read", "migrate", "import", "tick", "text", "serve", "check")
    )
    assert version.startswith("furrowbell, version ")


class Stopping:
    """A clock that asks the process to end when it is first read, as an operator would."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self.read = 0

    def __call__(self) -> datetime:
        """Return the time, once the signal is on its way."""
        if self.read == 0:
            os.kill(os.getpid(), signal.SIGTERM)
        self.read += 1
        return self.now


@pytest.mark.slow
def test_serving_ends_when_asked_and_closes_the_gateway(world: World) -> None:
    an_association(world)
    clock = Stopping(world.clock())
    settings = replace(world.services.settings, secret_key=SECRET_KEY)
    services: Services = replace(world.services, clock=clock, settings=settings)
    server = Server(create_app(services), host="127.0.0.1", port=0)
    before = {number: signal.getsignal(number) for number in (signal.SIGINT, signal.SIGTERM)}

    try:
        run_until_stopped(services, server, asked_to_stop())
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)

    assert clock.read > 0
    assert world.gateway.health().state == "down"


def test_the_services_of_a_place_are_those_of_its_settings(place: Place) -> None:
    services = build(load_settings(place.environment))

    assert services.settings.test_numbers == settings_for(place.folder).test_numbers
    assert services.lane() is None
    services.sessions.engine.dispose()
