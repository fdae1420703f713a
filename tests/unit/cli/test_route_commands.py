"""`furrowbell text --to`: a route is tried without a grower noticing."""

from pathlib import Path

import pytest

from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_journal import FakeText
from tests.outgoing import StoppedClock
from tests.unit.cli.test_commands import Place, refused

NUMBER = "+255100000007"
TWO = """\
test_numbers = ["+255100000007"]

[[route]]
name = "near"
adapter = "fake"
sender = "15050"
settings = {{ folder = "{folder}/near" }}

[[route]]
name = "far"
adapter = "fake"
sender = "15051"
prefixes = ["+25571"]
settings = {{ folder = "{folder}/far" }}
"""


@pytest.fixture
def place(tmp_path: Path) -> Place:
    """A database and two routes with pretend phones."""
    made = Place(tmp_path)
    (tmp_path / "furrowbell.toml").write_text(TWO.format(folder=tmp_path), encoding="utf-8")
    assert made.run("migrate").exit_code == 0
    return made


def phones(place: Place, route: str) -> list[FakeText]:
    return FakeGateway(clock=StoppedClock(), folder=place.folder / route).texts()


def test_a_test_text_goes_to_a_test_number_by_the_route_named(place: Place) -> None:
    result = place.run("text", "--to", NUMBER, "--route", "far", "--yes", "Habari", "yako")

    assert (result.exit_code, result.stdout) == (0, "The gateway took it. Look at the phone.\n")
    assert [(text.to, text.text) for text in phones(place, "far")] == [(NUMBER, "Habari yako")]
    assert phones(place, "near") == []


def test_without_words_and_route_a_usual_text_goes_by_the_first(place: Place) -> None:
    place.run("text", "--to", NUMBER, "--yes")

    assert [text.text for text in phones(place, "near")] == [
        "Furrowbell: this is a test. No answer is needed."
    ]


def test_nothing_is_sent_before_somebody_says_yes(place: Place) -> None:
    no = place.run("text", "--to", NUMBER, typed="n\n")
    before = phones(place, "near")
    yes = place.run("text", "--to", NUMBER, typed="y\n")

    assert "1 segment(s) to a test number by the route near, which may cost money" in no.stdout
    assert no.stdout.endswith("Nothing was sent.\n")
    assert before == []
    assert yes.exit_code == 0
    assert len(phones(place, "near")) == 1


def test_a_test_text_to_any_other_number_is_refused(place: Place) -> None:
    said = refused(place.run("text", "--to", "+255712345678", "--yes"))

    assert "only goes to a number that the settings list under test_numbers" in said
    assert phones(place, "near") == []


def test_a_route_that_is_not_there_is_refused_with_those_that_are(place: Place) -> None:
    said = refused(place.run("text", "--to", NUMBER, "--route", "south", "--yes"))

    assert said == "There is no such route; the settings name near, far.\n"


@pytest.mark.parametrize("words", [(), ("--to", NUMBER, "--from", NUMBER)])
def test_to_whom_or_from_whom_must_be_said(place: Place, words: tuple[str, ...]) -> None:
    assert "Give --to with a test number, or --from" in refused(place.run("text", *words, "A1"))


def test_a_refusal_of_the_gateway_is_said_and_fails(place: Place) -> None:
    text = TWO.format(folder=place.folder)
    text = text.replace(
        f'"{place.folder}/near" }}', f'"{place.folder}/near", numbers = ["+255100000001"] }}'
    )
    (place.folder / "furrowbell.toml").write_text(text, encoding="utf-8")

    result = place.run("text", "--to", NUMBER, "--yes")

    assert result.exit_code == 1
    assert result.stdout.startswith("Refused, and not sent: ")
