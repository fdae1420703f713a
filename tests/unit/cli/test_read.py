"""The `read` command: its two forms, and what it refuses."""

import json

import pytest
from click.testing import CliRunner

from service.cli.read import read_command

PHONE = [
    "--language=sw",
    "--plots=A,D",
    "--open=A3,D2",
    "--done=A1,A2,D1",
    "--cans=3",
    "--doses=7",
    "--received=2027-03-19",
]


def test_json_has_every_key_whatever_the_text_names() -> None:
    result = CliRunner().invoke(read_command, ["A3 2", *PHONE, "--format", "json"])

    assert result.exit_code == 0
    assert json.loads(result.stdout) == {
        "meaning": "done",
        "items": [{"plot": "A", "dose": 3, "can": None, "days_ago": 2}],
        "hint": "",
    }


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("A3", "done A3"),
        ("A3 D2", "done A3, D2"),
        ("A UP 1", "up A yesterday"),
        ("CAN 3 2 days ago", "sealed can 3 2 days ago"),
        ("STOP", "stop"),
        ("nimemaliza", "needs-reading (which job?)"),
        ("", "needs-reading (empty)"),
    ],
)
def test_text_is_one_plain_line(text: str, line: str) -> None:
    result = CliRunner().invoke(read_command, [text, *PHONE])

    assert (result.exit_code, result.stdout, result.stderr) == (0, line + "\n", "")


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ("--received=2027-02-30", "2027-02-30"),
        ("--received=yesterday", "2027-03-15"),
        ("--plots=A,B", "'B' is not understood"),
        ("--open=A10", "'A10' is not understood"),
        ("--open=G1", "Add plot G"),
        ("--open=A1", "not in both"),
        ("--doses=2", "leave out A3"),
        ("--cans=three", "'three' is not understood"),
        ("--language=xx", "choose one of am, ar"),
        ("--question=weather", "weather"),
        ("--question-plot=G", "Add plot G"),
        ("--date-order=ym", "ym"),
        ("--no-such-option", "--no-such-option"),
    ],
)
def test_a_wrong_option_is_refused_in_one_sentence(change: str, told: str) -> None:
    result = CliRunner().invoke(read_command, ["A3", *PHONE, change, "--format=json"])

    assert result.exit_code == 2
    assert told in result.stderr
    assert result.stderr.count("\n") == 1
    assert "Usage" not in result.stderr
    assert json.loads(result.stdout) == {"refused": "usage", "message": result.stderr.strip()}


def test_a_missing_day_is_refused_without_json_unless_asked_for() -> None:
    result = CliRunner().invoke(read_command, ["A3", "--language=sw"])

    assert (result.exit_code, result.stdout) == (2, "")
    assert "--received" in result.stderr
