"""`furrowbell staff`: people are added, linked, listed and removed; nobody gets a password."""

import re
from datetime import timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from service.cli.main import cli
from service.clock import system_clock
from service.records.engine import Sessions, open_engine
from service.records.people import AuditRow
from service.records.staff import Role, StaffLinkRow, StaffRow
from service.sign_in.links import LinkOverError, take_link
from tests.fresh import database_url
from tests.world import World, an_association
from tests.world_facts import other_association

SETTINGS = '[route]\nadapter = "fake"\nsender = "15050"\n'
KEY = "a secret key of the tests, made up"
ADD = ("add", "--name", "Asha.M", "--shown", "Asha", "--role", "admin", "--language", "en")
LINK = re.compile(r"(\S+)/first-visit/([A-Za-z0-9_-]{43})\n")


class Place:
    """A folder with settings and a database, and the commands run in it."""

    def __init__(self, folder: Path) -> None:
        self.sessions = Sessions(open_engine(database_url(folder)))
        file = folder / "furrowbell.toml"
        file.write_text(SETTINGS, encoding="utf-8")
        self.environment = {
            "FURROWBELL_SETTINGS": str(file),
            "FURROWBELL_DATABASE_URL": database_url(folder),
            "FURROWBELL_SECRET_KEY": KEY,
        }

    def run(self, *words: str, **environment: str) -> Result:
        """Run a staff command and return what came of it."""
        return CliRunner().invoke(cli, ["staff", *words], env=self.environment | environment)

    def token(self, *words: str) -> str:
        """Run a command that prints a link, and return the link's token."""
        result = self.run(*words)
        found = LINK.match(result.stdout)
        assert (result.exit_code, result.stderr, found is not None) == (0, "", True)
        assert found is not None
        return found[2]

    def rows(self) -> list[StaffRow]:
        """Return all staff, removed or not."""
        with self.sessions.read() as session:
            return session.query(StaffRow).order_by(StaffRow.id).all()


@pytest.fixture
def place(world: World, tmp_path: Path) -> Place:
    """A place with one association and no staff."""
    an_association(world)
    return Place(tmp_path)


def refused(result: Result) -> str:
    assert (result.exit_code, result.stdout) == (2, "")
    return result.stderr


def test_adding_prints_a_link_that_is_that_persons(place: Place) -> None:
    result = place.run(*ADD)

    found = LINK.match(result.stdout)
    assert found is not None
    assert found[1] == "http://127.0.0.1:8000"
    assert "once, within 48 hours" in result.stdout
    with place.sessions.read() as session:
        staff = take_link(session, found[2], now=system_clock())
    assert staff is not None
    assert (staff.name, staff.shown, staff.role, staff.language) == (
        "asha.m",
        "Asha",
        Role.ADMIN,
        "en",
    )
    assert staff.password_hash is None


def test_the_link_begins_with_the_address_that_is_given(place: Place) -> None:
    result = place.run(*ADD, "--address", "https://furrowbell.example/")

    assert result.stdout.startswith("https://furrowbell.example/first-visit/")


def test_the_link_holds_for_two_days_of_true_time_also_in_the_demo(place: Place) -> None:
    before = system_clock()
    place.run(*ADD, FURROWBELL_PROFILE="demo")
    after = system_clock()

    with place.sessions.read() as session:
        (link,) = session.query(StaffLinkRow).all()
    assert before <= link.expires_at - timedelta(hours=48) <= after


def test_a_new_link_ends_the_one_before(place: Place) -> None:
    first = place.token(*ADD)
    second = place.token("link", "asha.m")

    with place.sessions.read() as session:
        assert take_link(session, second, now=system_clock()) is not None
        with pytest.raises(LinkOverError):
            take_link(session, first, now=system_clock())


def test_the_list_names_who_may_sign_in(place: Place) -> None:
    empty = place.run("list")
    place.run(*ADD)
    full = place.run("list")

    assert empty.stdout == ("Nobody may sign in yet; add an administrator with `staff add`.\n")
    assert full.stdout == "asha.m  Asha  admin  en  test  waiting for the link to be used\n"


def test_a_removed_person_is_listed_no_more(place: Place) -> None:
    place.run(*ADD)
    place.run("add", "--name", "juma", "--shown", "J", "--role", "coordinator", "--language", "sw")

    result = place.run("remove", "JUMA")

    assert (result.exit_code, result.stdout) == (
        0,
        "Removed; every sign-in of this person has ended.\n",
    )
    assert "juma" not in place.run("list").stdout
    assert [row.removed_at is None for row in place.rows()] == [True, False]
    assert "Nobody signs in with this name" in refused(place.run("remove", "juma"))
    assert "Nobody signs in with this name" in refused(place.run("link", "juma"))


def test_the_last_administrator_is_not_removed(place: Place) -> None:
    place.run(*ADD)

    assert "last administrator" in refused(place.run("remove", "asha.m"))
    assert place.rows()[0].removed_at is None


def test_the_audit_says_that_a_command_did_it(place: Place) -> None:
    place.run(*ADD)
    place.run("link", "asha.m")

    with place.sessions.read() as session:
        found = [(row.what, row.subject_id, row.who) for row in session.query(AuditRow)]
    assert found == [("added", 1, "command"), ("link", 1, "command"), ("link", 1, "command")]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        pytest.param((*ADD[:2], "a b", *ADD[3:]), "such as asha.m", id="name"),
        pytest.param((*ADD[:-1], "xx"), "choose one of en", id="language"),
        pytest.param((*ADD, "--association", "none"), "--association: test", id="association"),
        pytest.param(("link", "nobody"), "staff list", id="nobody"),
        pytest.param(("remove", "no body\0"), "staff list", id="no name"),
    ],
)
def test_what_cannot_be_done_is_refused_and_nothing_is_kept(
    place: Place, words: tuple[str, ...], sentence: str
) -> None:
    assert sentence in refused(place.run(*words))
    assert place.rows() == []


def test_a_name_that_is_taken_is_refused_without_a_link(place: Place) -> None:
    place.run(*ADD)

    assert "taken" in refused(place.run(*ADD))
    with place.sessions.read() as session:
        assert len(session.query(StaffLinkRow).all()) == 1


def test_of_several_associations_one_is_named(place: Place) -> None:
    with place.sessions.begin() as session:
        session.add(other_association(system_clock()))

    assert "--association: test, other" in refused(place.run(*ADD))
    place.token(*ADD, "--association", "other")
    assert [row.association_id for row in place.rows()] == [2]


@pytest.mark.parametrize("words", [ADD, ("link", "asha.m")])
def test_without_a_secret_key_no_link_is_made(place: Place, words: tuple[str, ...]) -> None:
    result = place.run(*words, FURROWBELL_SECRET_KEY="")

    assert "FURROWBELL_SECRET_KEY" in refused(result)
    assert 'python3 -c "import secrets; print(secrets.token_urlsafe(32))"' in result.stderr
    assert place.rows() == []


def test_before_an_import_there_is_nobody_to_add_to(world: World, tmp_path: Path) -> None:
    place = Place(tmp_path)

    assert "import one first" in refused(place.run(*ADD))
    assert world.services.lane() is None
