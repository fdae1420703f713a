"""Finding the browser that the tests of the pages look through, or saying what is missing."""

from pathlib import Path

import pytest

from tests.house.repository import ROOT
from tests.house.shell import run_bash

SOURCED = f"source '{ROOT}/deploy/environment.sh'\n"
AN_APT = 'can_install() { true; }\ninstall_with_apt() { echo "apt: $1"; }\n'
NO_APT = "can_install() { false; }\n"


def a_browser(folder: Path, name: str) -> Path:
    """Write something that can be run."""
    file = folder / name
    file.write_text("#!/bin/sh\n")
    file.chmod(0o755)
    return file


def test_the_browser_that_is_there_is_taken(tmp_path: Path) -> None:
    a_browser(tmp_path, "chromium")

    done = run_bash(f"{SOURCED}unset CHROMIUM\nPATH='{tmp_path}'\nfind_browser", folder=tmp_path)

    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_another_browser_is_taken_by_its_full_path(tmp_path: Path) -> None:
    other = a_browser(tmp_path, "other")

    done = run_bash(
        f"{SOURCED}{NO_APT}PATH=/nowhere\nCHROMIUM='{other}'\nfind_browser", folder=tmp_path
    )

    assert (done.returncode, done.stderr) == (0, "")


def test_a_named_browser_that_cannot_be_run_is_named_and_not_replaced(tmp_path: Path) -> None:
    a_browser(tmp_path, "chromium")

    done = run_bash(
        f"{SOURCED}PATH='{tmp_path}'\nCHROMIUM=/nowhere/chrome\nfind_browser", folder=tmp_path
    )

    assert done.returncode == 1
    assert "CHROMIUM names /nowhere/chrome" in done.stderr


@pytest.mark.parametrize(
    ("apt", "status", "shown"),
    [
        pytest.param(AN_APT, 0, "apt: chromium\n", id="by an administrator"),
        pytest.param(NO_APT, 1, "", id="by nobody"),
    ],
)
def test_a_browser_that_is_missing_is_installed(
    tmp_path: Path, apt: str, status: int, shown: str
) -> None:
    done = run_bash(f"{SOURCED}{apt}unset CHROMIUM\nPATH=/nowhere\nfind_browser", folder=tmp_path)

    assert (done.returncode, done.stdout) == (status, shown)
    assert "chromium" in done.stderr


def test_what_an_administrator_would_type_is_said(tmp_path: Path) -> None:
    done = run_bash(
        f"{SOURCED}{NO_APT}unset CHROMIUM\nPATH=/nowhere\nfind_browser", folder=tmp_path
    )

    assert "apt-get install chromium" in done.stderr


def test_the_list_of_packages_is_renewed_once(tmp_path: Path) -> None:
    lines = f'{SOURCED}quietly() {{ echo "$*"; }}\ninstall_with_apt a\ninstall_with_apt b'

    done = run_bash(lines, folder=tmp_path)

    assert done.stdout.splitlines() == [
        "apt-get update",
        "env DEBIAN_FRONTEND=noninteractive apt-get install --yes a",
        "env DEBIAN_FRONTEND=noninteractive apt-get install --yes b",
    ]
