"""Starts a peer as a process of its own, talks to it in JSON lines, and ends it.

The peer's output is read all the time by a thread, for a full pipe would stop it. Each wait has a
limit. The process ends when its stdin closes; one that does not is ended by its id.
"""

import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from threading import Condition, Lock, Thread

HERE = Path(__file__).parent
NODE_MODULES = HERE.parents[2] / ".venv-node" / "node_modules"  # put there by tests/run
WAIT_S = 20.0
END_S = 5.0

Happening = Mapping[str, object]


class PeerError(AssertionError):
    """A peer did not start, or did not do in time what a test waited for."""


class Peer:
    """A running peer: what it has said so far, and a way to speak to it."""

    def __init__(self, process: "subprocess.Popen[str]") -> None:
        self._process = process
        self._said: list[Happening] = []
        self._news = Condition()
        self._over = False
        self._telling = Lock()
        self._reader = Thread(target=self._read, daemon=True)
        self._reader.start()

    @property
    def said(self) -> tuple[Happening, ...]:
        """Everything the peer has said until now, in order, what it still had to say included."""
        with suppress(PeerError, OSError, ValueError):  # one that has ended has said all
            self.tell()
        with self._news:
            return tuple(self._said)

    def heard(self, event: str) -> list[Happening]:
        """Return what the peer has said of one kind until now, in order."""
        return _of(event, self.said)

    def tell(self, **settings: object) -> None:
        """Change settings, or let the peer act (`act="unbind"`); wait until it has said ok."""
        assert self._process.stdin is not None
        with self._telling:
            before = len(_of("ok", self._said))
            self._process.stdin.write(json.dumps(settings) + "\n")
            self._process.stdin.flush()
            self.wait_for("ok", count=before + 1)

    def wait_for(
        self,
        event: str,
        *,
        count: int = 1,
        where: Callable[[Happening], bool] = lambda _: True,
        wait_s: float = WAIT_S,
    ) -> list[Happening]:
        """Return all of a kind that are as `where` wants them, once there are as many.

        Raises:
            PeerError: there were not in time, or the peer ended before.
        """
        met: list[Happening] = []

        def enough() -> bool:
            met[:] = filter(where, _of(event, self._said))
            return len(met) >= count

        with self._news:
            self._news.wait_for(lambda: enough() or self._over, wait_s)
        if len(met) < count:
            raise PeerError(f"the peer did not say {event} {count} times, but {self._said[-5:]}")
        return met

    def close(self) -> None:
        """End the peer, by closing its stdin first."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        try:
            self._process.wait(END_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait(END_S)
        self._reader.join(END_S)
        if self._process.stdout is not None:
            self._process.stdout.close()

    def _read(self) -> None:
        assert self._process.stdout is not None
        for line in self._process.stdout:
            try:
                item: object = json.loads(line)
            except ValueError:
                item = {"event": "noise", "line": line}
            with self._news:
                self._said.append(item if isinstance(item, dict) else {"event": "noise"})
                self._news.notify_all()
        with self._news:
            self._over = True
            self._news.notify_all()


def _of(event: str, said: Sequence[Happening]) -> list[Happening]:
    return [item for item in tuple(said) if item.get("event") == event]


@contextmanager
def running(command: Sequence[str]) -> Iterator[tuple[Peer, object]]:
    """Run a peer for a block; give it, and the port or device on which it listens."""
    process = subprocess.Popen(  # noqa: S603 -- our own peers, with our own words
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        env={**os.environ, "NODE_PATH": str(NODE_MODULES)},
    )
    peer = Peer(process)
    try:
        (listening, *_) = peer.wait_for("listening")
        yield peer, listening["port"]
    finally:
        peer.close()


def _set(settings: Mapping[str, object]) -> list[str]:
    return ["--set", json.dumps(settings)] if settings else []


@contextmanager
def message_centre(**settings: object) -> Iterator[tuple[Peer, int]]:
    """Run `smsc.js`: an SMPP 3.4 message centre with faults; give it and its port."""
    with running(["node", str(HERE / "smsc.js"), "--port", "0", *_set(settings)]) as (peer, port):
        assert isinstance(port, int)
        yield peer, port


@contextmanager
def modem(**settings: object) -> Iterator[tuple[Peer, str]]:
    """Run `fake_modem.py`: a GSM modem on a pseudo-terminal; give it and the device."""
    with running([sys.executable, str(HERE / "fake_modem.py"), *_set(settings)]) as (peer, device):
        assert isinstance(device, str)
        yield peer, device


@contextmanager
def http_service(**settings: object) -> Iterator[tuple[Peer, int]]:
    """Run `http_peer.js`: an HTTP gateway with faults and webhooks; give it and its port."""
    command = ["node", str(HERE / "http_peer.js"), "--port", "0", *_set(settings)]
    with running(command) as (peer, port):
        assert isinstance(port, int)
        yield peer, port
