"""Processes that are kept alive, each by its own number, and all end in the end."""

import os
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from signal import SIGKILL
from threading import Event
from time import monotonic

import pytest

from service.demo.supervisor import Part, Supervisor, own_environment

PATIENCE_S = 30
WAITS = "import threading; threading.Event().wait()"
DEAF = f"from signal import *; signal(SIGTERM, SIG_IGN); print('deaf', flush=True); {WAITS}"
ENDS = "print('a word'); raise SystemExit(3)"


def part(folder: Path, program: str, *, name: str = "part") -> Part:
    return Part(name=name, command=[sys.executable, "-c", program], folder=folder)


@contextmanager
def supervised(
    folder: Path, *, again_s: float = 0.01, asked_s: float = PATIENCE_S, most_short_lives: int = 3
) -> Iterator[tuple[Supervisor, list[str]]]:
    said: list[str] = []
    crew = Supervisor(
        log=folder / "log",
        say=said.append,
        stop=Event(),
        again_s=again_s,
        asked_s=asked_s,
        most_short_lives=most_short_lives,
    )
    try:
        yield crew, said
    finally:
        crew.end()


def wait_for(met: Callable[[], bool]) -> None:
    until = monotonic() + PATIENCE_S
    while not met():
        assert monotonic() < until
        Event().wait(0.01)


def number_in(line: str) -> int:
    found = re.search(r"\((\d+)\)", line)
    assert found is not None
    return int(found[1])


def lives(number: int) -> bool:
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True


@pytest.mark.slow
def test_one_that_is_killed_is_started_again_and_the_others_live_on(tmp_path: Path) -> None:
    with supervised(tmp_path) as (crew, said):
        crew.start(part(tmp_path, WAITS, name="one"))
        crew.start(part(tmp_path, WAITS, name="two"))
        one, two = map(number_in, said)
        os.kill(one, SIGKILL)
        wait_for(lambda: len(said) == 4)
        again = number_in(said[3])
        alive = [lives(number) for number in (one, two, again)]

    assert said[2:] == [f"one ({one}) ended by signal 9.", f"one was started again ({again})."]
    assert alive == [False, True, True]
    assert not any(lives(number) for number in (two, again))


@pytest.mark.slow
def test_one_that_does_not_heed_the_request_to_end_is_killed(tmp_path: Path) -> None:
    with supervised(tmp_path, asked_s=0.3) as (crew, said):
        crew.start(part(tmp_path, DEAF))
        wait_for(lambda: (tmp_path / "log" / "part.log").read_text() == "deaf\n")

    number = number_in(said[0])
    assert said[1:] == [f"part ({number}) did not end and is killed."]
    assert not lives(number)


@pytest.mark.slow
def test_one_that_never_stays_alive_is_given_up_and_named(tmp_path: Path) -> None:
    with supervised(tmp_path, again_s=0.0) as (crew, said):
        crew.start(part(tmp_path, ENDS))
        assert crew.stop.wait(PATIENCE_S)

    assert crew.gave_up == "part"
    assert sum("ended with status 3." in line for line in said) == 3
    assert (tmp_path / "log" / "part.log").read_text() == "a word\n" * 3


def test_the_callers_own_settings_reach_no_part(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FURROWBELL_DATABASE_URL", "sqlite:////somewhere/else.db")
    monkeypatch.setenv("OTHER", "stays")

    found = own_environment(FURROWBELL_SETTINGS="settings.toml")

    assert found["OTHER"] == "stays"
    assert {key: value for key, value in found.items() if key.startswith("FURROWBELL")} == {
        "FURROWBELL_SETTINGS": "settings.toml"
    }
