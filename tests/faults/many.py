"""The demo in many processes, run by its command, watched and struck from outside."""

import os
import re
import subprocess
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from signal import SIGKILL, SIGTERM
from threading import Event, Thread
from time import monotonic

from service.config import load_settings
from service.demo.setting_up import SETTINGS
from service.records.engine import Sessions, open_engine
from service.records.pretend import pretend_now
from tests.faults.seasons import ROOT, environment

PATIENCE_S = 120
LOOK_S = 0.01
_STARTED = re.compile(r"^(\S+) was started(?: again)? \((\d+)\)", re.MULTILINE)


@dataclass(kw_only=True)
class Many:
    """A running demo; `said` is what it wrote, line by line."""

    home: Path
    process: "subprocess.Popen[str]"
    said: list[str] = field(default_factory=list)
    _news: Event = field(default_factory=Event)

    def read(self) -> None:
        """Take in what it writes until it has ended."""
        assert self.process.stdout is not None
        for line in self.process.stdout:
            self.said.append(line)
            self._news.set()
        self._news.set()

    @property
    def output(self) -> str:
        """Everything that it has written so far."""
        return "".join(self.said)

    def wait_for(self, met: Callable[[], bool]) -> None:
        """Wait until something holds, as long as the demo runs."""
        until = monotonic() + PATIENCE_S
        while not met():
            self._news.clear()
            assert monotonic() < until, f"nothing happens:\n{self.output}"
            assert self.process.poll() is None, f"it has ended:\n{self.output}"
            self._news.wait(LOOK_S)

    def numbers(self) -> dict[str, int]:
        """Return the processes that it started, each by its name, as they were started last."""
        return {name: int(number) for name, number in _STARTED.findall(self.output)}

    def all_numbers(self) -> list[int]:
        """Return the number of every process that it ever started."""
        return [int(number) for _, number in _STARTED.findall(self.output)]

    def kill(self, name: str) -> None:
        """End one of its processes, and no other, without a word; wait for the next one's start."""
        number = self.numbers()[name]
        assert _parent_of(number) == self.process.pid
        os.kill(number, SIGKILL)
        self.wait_for(lambda: self.numbers()[name] != number)

    @contextmanager
    def sessions(self) -> Iterator[Sessions]:
        """Give its database."""
        settings = load_settings({"FURROWBELL_SETTINGS": str(self.home / SETTINGS)})
        sessions = Sessions(open_engine(settings.database_url))
        yield sessions
        sessions.engine.dispose()

    def wait_until(self, moment: datetime) -> None:
        """Wait until its pretended time is there."""
        with self.sessions() as sessions:
            while _now(sessions) < moment:
                assert self.process.poll() is None, f"it has ended:\n{self.output}"
                Event().wait(LOOK_S)

    def end(self) -> int:
        """Ask it to end; return its status."""
        self.process.send_signal(SIGTERM)
        return self.process.wait(PATIENCE_S)


@contextmanager
def running(words: list[str], home: Path) -> Iterator[Many]:
    """Start a demo; whatever happens, it has ended with the block."""
    with subprocess.Popen(  # noqa: S603 -- our own command, with our own words
        words,
        cwd=ROOT,
        env=environment(),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as process:
        many = Many(home=home, process=process)
        reader = Thread(target=many.read)
        reader.start()
        try:
            yield many
        finally:
            if process.poll() is None:
                many.end()
            reader.join()


def lives(number: int) -> bool:
    """Say whether there is a process of this number."""
    try:
        os.kill(number, 0)
    except ProcessLookupError:
        return False
    return True


def _now(sessions: Sessions) -> datetime:
    with sessions.read() as session:
        now = pretend_now(session)
    assert now is not None
    return now


def _parent_of(number: int) -> int:
    status = Path(f"/proc/{number}/stat").read_text(encoding="utf-8")
    return int(status.rpartition(")")[2].split()[1])
