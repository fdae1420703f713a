"""Starts processes, starts again what ends unasked, and ends them all, each by its own number."""

import math
import os
import pwd
import subprocess  # nosec B404 -- starts the parts that the demo names
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from signal import SIGTERM, Signals
from threading import Event, Lock, Thread
from time import monotonic

LOOK_S = 0.1
SHORT_LIFE_S = 5.0

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A process to be kept alive; `user` is who runs it, `ends_by` what asks it to end."""

    name: str
    command: Sequence[str]
    folder: Path
    environment: Mapping[str, str] | None = None
    user: pwd.struct_passwd | None = None
    ends_by: Signals = SIGTERM


@dataclass(slots=True, kw_only=True)
class _Life:
    part: Part
    process: "subprocess.Popen[bytes]"
    began_s: float
    short_lives: int = 0
    again_s: float | None = None  # when it is started again, None while it runs


@dataclass(kw_only=True)
class Supervisor:
    """Keeps parts alive until `end`; what they write goes to files in `log`, one a part.

    `stop` is set where a part does not stay alive however often it is started; `gave_up` names it.
    A part that ends at once is started no faster than every `again_s` seconds, and one that is
    asked to end has `asked_s` for it.
    """

    log: Path
    say: Say
    stop: Event
    again_s: float = 1.0
    asked_s: float = 8.0
    most_short_lives: int = 20
    gave_up: str | None = None
    _lives: list[_Life] = field(default_factory=list)
    _ending: Event = field(default_factory=Event)
    _lock: Lock = field(default_factory=Lock)
    _watcher: Thread | None = None

    def start(self, part: Part) -> None:
        """Start a part, and say its process's number."""
        self.log.mkdir(parents=True, exist_ok=True)
        life = _Life(part=part, process=self._process(part), began_s=monotonic())
        with self._lock:
            self._lives.append(life)
        if self._watcher is None:
            self._watcher = Thread(target=self._watch, name="supervisor", daemon=True)
            self._watcher.start()
        self.say(f"{part.name} was started ({life.process.pid}).")

    def end(self) -> None:
        """End every part; the one that was started first outlives all others."""
        self._ending.set()
        if self._watcher is not None:
            self._watcher.join()
        with self._lock:
            first, rest = self._lives[:1], self._lives[1:]
        for lives in (rest, first):
            self._end_all(lives)

    def _end_all(self, lives: Sequence[_Life]) -> None:
        for life in lives:
            if life.process.poll() is None:
                life.process.send_signal(life.part.ends_by)
        until = monotonic() + self.asked_s
        for life in lives:
            with suppress(subprocess.TimeoutExpired):
                life.process.wait(max(until - monotonic(), 0))
            if life.process.poll() is None:
                self.say(f"{life.part.name} ({life.process.pid}) did not end and is killed.")
                life.process.kill()
                life.process.wait()

    def _process(self, part: Part) -> "subprocess.Popen[bytes]":
        # a session of its own: Ctrl-C in a terminal is for us, who end the parts in their order
        with (self.log / f"{part.name}.log").open("ab") as output:
            return subprocess.Popen(  # noqa: S603  # nosec B603 -- the demo's own parts
                part.command,
                cwd=part.folder,
                env=None if part.environment is None else dict(part.environment),
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=subprocess.STDOUT,
                start_new_session=True,
                user=None if part.user is None else part.user.pw_uid,
                group=None if part.user is None else part.user.pw_gid,
                extra_groups=None if part.user is None else [],
            )

    def _watch(self) -> None:
        while not self._ending.wait(LOOK_S):
            with self._lock:
                lives = list(self._lives)
            for life in lives:
                self._look_at(life)

    def _look_at(self, life: _Life) -> None:
        now_s = monotonic()
        if life.again_s is not None:
            if now_s >= life.again_s:
                life.process, life.began_s, life.again_s = self._process(life.part), now_s, None
                self.say(f"{life.part.name} was started again ({life.process.pid}).")
            return
        status = life.process.poll()
        if status is None:
            return
        short = now_s - life.began_s < SHORT_LIFE_S
        life.short_lives = life.short_lives + 1 if short else 0
        life.again_s = now_s + self.again_s if short else now_s
        self.say(f"{life.part.name} ({life.process.pid}) ended{_how(status)}.")
        if life.short_lives == self.most_short_lives:
            life.again_s = math.inf  # something is wrong that a start does not mend
            self.gave_up = life.part.name
            self.stop.set()


def _how(status: int) -> str:
    return f" by signal {-status}" if status < 0 else f" with status {status}"


def own_environment(**own: str) -> dict[str, str]:
    """Return this process's environment with settings of its own, and none of the caller's."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("FURROWBELL_")}
    return kept | own
