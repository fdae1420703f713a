"""Refusals of a command, also under a group."""

import json

import click
import pytest
from click.testing import CliRunner

from service.cli.refusal import RefusingCommand
from service.errors import RefusedError


@click.group()
def group() -> None:
    """Hold the command."""


@group.command(cls=RefusingCommand)
@click.option("--litres", type=click.IntRange(1, 9))
@click.option("--soil", type=click.Choice(["normal", "salty"]), required=True)
@click.option("--format", "output_format", default="text")
def pour(litres: int, soil: str, output_format: str) -> None:
    """Refuse salt, else say what was asked."""
    if soil == "salty":
        raise RefusedError("salt", "Do not pour on salt.")
    click.echo(f"{litres} {output_format}")


@pytest.mark.parametrize(
    ("args", "stdout", "stderr"),
    [
        pytest.param(("--soil", "salty"), "", "Do not pour on salt.\n", id="text"),
        pytest.param(
            ("--soil", "salty", "--format", "json"),
            {"refused": "salt", "message": "Do not pour on salt."},
            "Do not pour on salt.\n",
            id="json",
        ),
        pytest.param(
            ("--format=json", "--soil", "salty"),
            {"refused": "salt", "message": "Do not pour on salt."},
            "Do not pour on salt.\n",
            id="json, joined",
        ),
        pytest.param(
            ("--format=json", "--soil", "salty", "--format", "text"),
            "",
            "Do not pour on salt.\n",
            id="the last format counts",
        ),
        pytest.param(
            ("--soil", "salty", "--format"),
            "",
            "Option '--format' requires an argument.\n",
            id="format without a word",
        ),
        pytest.param(
            (),
            "",
            "Missing option '--soil'. Choose from: normal, salty\n",
            id="a choice is told on one line",
        ),
    ],
)
def test_a_refusal_exits_two(
    args: tuple[str, ...], stdout: str | dict[str, str], stderr: str
) -> None:
    result = CliRunner().invoke(group, ["pour", *args])

    assert (result.exit_code, result.stderr) == (2, stderr)
    assert (json.loads(result.stdout) if isinstance(stdout, dict) else result.stdout) == stdout


def test_what_is_not_refused_runs() -> None:
    result = CliRunner().invoke(group, ["pour", "--litres", "3", "--soil", "normal"])

    assert (result.exit_code, result.stdout) == (0, "3 text\n")
