"""The commands a person meets first: they parse, explain themselves and name what is missing."""

import os
from pathlib import Path

import pytest

from tests.house.repository import ROOT
from tests.house.shell import run_bash

COMMANDS = (
    ".ci/run",
    "deploy/demo",
    "deploy/many",
    "tests/bench/run",
    "tests/mutants/run",
    "tests/run",
)
SOURCED = f"source '{ROOT}/deploy/environment.sh'\n"
OLD_PYTHON = "#!/bin/sh\ncase $1 in --version) echo Python 3.9.2 ;; *) exit 1 ;; esac\n"


def a_command(folder: Path, name: str, text: str) -> None:
    """Write an executable file."""
    (folder / name).write_text(text)
    (folder / name).chmod(0o755)


@pytest.mark.parametrize("name", [*COMMANDS, "deploy/environment.sh"])
def test_a_script_parses(name: str) -> None:
    assert run_bash(f"bash -n '{name}'", folder=ROOT).stderr == ""


@pytest.mark.parametrize("name", COMMANDS)
def test_a_command_can_be_run_by_its_name(name: str) -> None:
    assert os.access(ROOT / name, os.X_OK)


def test_the_demo_explains_each_option_without_installing(tmp_path: Path) -> None:
    done = run_bash(f"'{ROOT}/deploy/demo' --help", folder=tmp_path, limit_s=10)

    assert done.returncode == 0
    assert all(f"--{name} " in done.stdout for name in ("season", "port", "data", "reset", "help"))


def test_the_demo_in_many_processes_explains_each_option_without_installing(tmp_path: Path) -> None:
    done = run_bash(f"'{ROOT}/deploy/many' --help", folder=tmp_path, limit_s=10)

    assert done.returncode == 0
    options = ("season", "days", "port", "data", "reset", "help")
    assert all(f"--{name} " in done.stdout for name in options)


def test_the_test_command_explains_itself_without_installing(tmp_path: Path) -> None:
    done = run_bash(f"'{ROOT}/tests/run' --help", folder=tmp_path, limit_s=10)

    assert done.returncode == 0
    assert "tests/run [PYTEST ARGUMENT...]" in done.stdout


def test_too_old_a_python_is_named_with_what_is_needed(tmp_path: Path) -> None:
    a_command(tmp_path, "python3", OLD_PYTHON)

    done = run_bash(f"{SOURCED}PATH='{tmp_path}':/nowhere\nfind_python", folder=tmp_path)

    assert done.returncode == 1
    assert "needs Python 3.11 or newer" in done.stderr


def test_a_newer_python_beside_an_old_one_is_found(tmp_path: Path) -> None:
    a_command(tmp_path, "python3", OLD_PYTHON)
    a_command(tmp_path, "python3.12", "#!/bin/sh\nexit 0\n")

    done = run_bash(f"{SOURCED}PATH='{tmp_path}'\nfind_python", folder=tmp_path)

    assert done.stdout == f"{tmp_path}/python3.12\n"


def test_without_the_venv_package_the_sentence_says_how_to_get_it(tmp_path: Path) -> None:
    """Debian splits ensurepip off into python3.X-venv; here neither apt nor ensurepip is there."""
    a_command(
        tmp_path,
        "python3",
        "#!/bin/sh\ncase $2 in *ensurepip*) exit 1 ;; *) echo python3.11-venv ;; esac\n",
    )

    done = run_bash(f"{SOURCED}PATH='{tmp_path}'\nmake_venv_work python3", folder=tmp_path)

    assert done.returncode == 1
    assert "apt-get install python3.11-venv" in done.stderr


@pytest.mark.parametrize(
    ("lines", "status", "shown"),
    [
        pytest.param("quietly sh -c 'echo words'", 0, "", id="nothing on success"),
        pytest.param("quietly sh -c 'echo words; exit 3'", 3, "words\n", id="its end on failure"),
    ],
)
def test_a_quiet_command_shows(tmp_path: Path, lines: str, status: int, shown: str) -> None:
    done = run_bash(SOURCED + lines, folder=tmp_path)

    assert (done.returncode, done.stderr) == (status, shown)
