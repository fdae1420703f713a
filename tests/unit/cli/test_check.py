"""`furrowbell check`: which looks are made, in what order, and what they come to."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from gateway_adapters.fake import FakeGateway
from service.cli.check import LOOKS, findings
from service.cli.check_database import NO_ANSWER
from service.cli.check_finding import Asked, Finding
from service.clock import system_clock
from service.config import Profile
from service.records.engine import Sessions, open_engine
from tests.fresh import fresh_database, fresh_file, on_postgresql
from tests.outgoing import StoppedClock
from tests.unit.cli.asking import faults
from tests.unit.cli.test_commands import Place
from tests.unit.cli.test_route_commands import TWO
from tests.world import settings_for


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """A database of this version and two routes with pretend phones."""
    made = Place(tmp_path)
    (tmp_path / "furrowbell.toml").write_text(TWO.format(folder=tmp_path), encoding="utf-8")
    fresh_database(tmp_path)
    return made


def sentences(folder: Path, sessions: Sessions) -> list[str]:
    looked = findings(settings_for(folder), sessions, machine=system_clock)
    return [finding.sentence for finding in looked]


def test_it_tries_each_route_and_sends_nothing(place: Place) -> None:
    result = place.run("check")

    phones = [
        FakeGateway(clock=StoppedClock(), folder=place.folder / name) for name in ("near", "far")
    ]
    assert result.exit_code == 0
    assert result.stdout.splitlines()[-3:] == [
        "Route near (fake) is up.",
        "Route far (fake) is up.",
        "All is well.",
    ]
    assert [phone.texts() for phone in phones] == [[], []]


def test_what_is_wrong_is_marked_and_counted(place: Place) -> None:
    place.folder.joinpath("furrowbell.toml").write_text(
        '[route]\nadapter = "fake"\nsender = "15050"\nsettings = { colour = "red" }\n',
        encoding="utf-8",
    )

    result = place.run("check", FURROWBELL_TEXTS=str(place.folder))

    lines = result.stdout.splitlines()
    wrong = [line for line in lines if line.startswith("Wrong: ")]
    assert result.exit_code == 1
    assert any("colour" in line for line in wrong)
    assert "The texts are in order." not in lines
    assert lines[-1] == f"{len(wrong)} thing(s) to put right."
    assert len(wrong) > 1


def test_all_lines_of_a_database_file_in_order(tmp_path: Path) -> None:
    sessions = Sessions(open_engine(fresh_file(tmp_path / "own.db")))

    said = sentences(tmp_path, sessions)
    sessions.engine.dispose()

    assert [line for line in said if "disk of the" not in line and "zone" not in line] == [
        "The settings can be read.",
        "The texts are in order.",
        "The database file has a write-ahead log (journal mode WAL).",
        "The database answers, and its tables are those of this version.",
        "The database can be written.",
        "What is stored is on the disk at once (synchronous FULL).",
        "Nothing stored lies in the future of the clock.",
        "There is no association yet; `furrowbell import FOLDER` reads one.",
        "Route main (fake) is up.",
    ]


def test_a_demo_with_a_route_to_a_phone_opens_none(tmp_path: Path, sessions: Sessions) -> None:
    """Opening alone may already reach a network."""
    settings = settings_for(tmp_path)
    route = replace(settings.route, adapter="smpp", settings={"host": "smsc.example"})
    demo = replace(settings, profile=Profile.DEMO, routes=(route,))

    found = list(findings(demo, sessions, machine=system_clock))

    assert [sentence.split(";")[0] for sentence in faults(found)] == [
        "The demo may only use a gateway that reaches no real phone"
    ]
    assert not any(finding.sentence.startswith("Route ") for finding in found)


@pytest.mark.skipif(on_postgresql(), reason="takes the file away from under the check")
@pytest.mark.parametrize(
    ("profile", "last"),
    [
        pytest.param(Profile.LIVE, "Route main (fake) is up.", id="life"),
        pytest.param(Profile.DEMO, NO_ANSWER, id="demo, whose time is kept there too"),
    ],
)
def test_a_database_that_goes_away_in_the_middle_is_named(
    tmp_path: Path, sessions: Sessions, profile: Profile, last: str
) -> None:
    """The tables go after the version was looked at: each later look says so, none ends the run."""
    settings = replace(settings_for(tmp_path), profile=profile)
    looked = findings(settings, sessions, machine=system_clock)
    said = [next(looked).sentence for _ in range(4)]
    sessions.engine.dispose()
    for file in tmp_path.glob("furrowbell.db*"):
        file.unlink()

    rest = list(looked)

    assert said[-1] == "The database answers, and its tables are those of this version."
    assert faults(rest)[: 1 + len(LOOKS)] == [NO_ANSWER] * (1 + len(LOOKS))
    assert rest[-1].sentence == last


@pytest.mark.parametrize("look", LOOKS)
def test_each_look_says_something_or_nothing_of_an_empty_database(
    look: Callable[[Asked], list[Finding]], sessions: Sessions, tmp_path: Path
) -> None:
    asked = Asked(
        settings=settings_for(tmp_path),
        sessions=sessions,
        clock=system_clock,
        machine=system_clock,
    )

    assert faults(look(asked)) == []
