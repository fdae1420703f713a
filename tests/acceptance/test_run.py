"""The two commands, as a newcomer meets them: a fresh copy, no environment, a blank in its name."""

import os
import shutil
import signal
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent.parent
LIMIT_S = 900


@pytest.fixture(scope="module")
def clone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    folder = tmp_path_factory.mktemp("a newcomer's") / "clone of it"
    listed = subprocess.run(
        ["git", "ls-files", "-co", "--exclude-standard", "-z"],  # noqa: S607 -- git is how we got here
        cwd=ROOT,
        check=True,
        stdout=subprocess.PIPE,
    ).stdout.decode()
    for name in filter(None, listed.split("\0")):
        if (ROOT / name).is_file():
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, folder / name)
    yield folder
    shutil.rmtree(folder, ignore_errors=True)


def _environment() -> dict[str, str]:
    kept = {"PATH", "HOME", "LANG", "TERM", "USER"}
    # pip's own settings say where packages come from; nothing of this test's environment may help
    return {
        name: value
        for name, value in os.environ.items()
        if name in kept
        or name.startswith(("PIP_", "HTTP", "HTTPS", "http", "https", "SSL_", "REQ"))
    }


def _run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603 -- the project's own commands
        command,
        cwd=folder,
        env=_environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
        timeout=LIMIT_S,
    )


@pytest.mark.slow
@pytest.mark.long
def test_the_season_is_played_in_a_fresh_clone(clone: Path) -> None:
    """O1: ./deploy/demo --season, from another folder, exits 0 with its table: its first days."""
    command = [str(clone / "deploy" / "demo"), "--season", "--days", "8"]
    done = _run(command, clone.parent)

    assert done.returncode == 0, done.stdout[-2000:]
    assert "Every rule of the season held." in done.stdout
    assert "Texts sent" in done.stdout


@pytest.mark.slow
def test_the_demo_runs_until_it_is_told_to_stop(clone: Path) -> None:
    """O1: ./deploy/demo starts, shows what the pretend phones receive, and ends with exit 0."""
    command = [str(clone / "deploy" / "demo"), "--data", "my demo"]
    with subprocess.Popen(  # noqa: S603 -- the project's own command
        command, cwd=clone, env=_environment(), stdout=subprocess.PIPE, text=True
    ) as running:
        assert running.stdout is not None
        shown = []
        for line in running.stdout:
            shown.append(line)
            if "to +2551000000" in line:
                break
        running.send_signal(signal.SIGINT)
        rest = running.stdout.read()
        status = running.wait(timeout=60)

    assert status == 0, "".join(shown) + rest
    assert any("export FURROWBELL_SETTINGS=" in line for line in shown)


@pytest.mark.slow
def test_the_tests_run_in_a_fresh_clone(clone: Path) -> None:
    """O1: ./tests/run makes its own environment; a part of the suite shows that it works."""
    done = _run(
        [str(clone / "tests" / "run"), "tests/unit/agronomy/test_season.py", "-q"], clone.parent
    )

    assert done.returncode == 0, done.stdout[-2000:]
    assert " passed" in done.stdout
