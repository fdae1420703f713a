"""A tap on the line between the adapter and a modem: sees both sides, and can meddle."""

import os
import pty
import select
import tty
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from threading import Condition, Thread

_WAIT_S = 10.0
_CHUNK = 4096


class Tap:
    """Relays octets between a modem and a pseudo-terminal of its own, line by line upwards."""

    def __init__(self, device: str) -> None:
        self._modem = os.open(device, os.O_RDWR | os.O_NOCTTY)
        tty.setraw(self._modem)
        self._ours, self._theirs = pty.openpty()
        tty.setraw(self._theirs)
        self._wake, self._waker = os.pipe()
        self.device = os.ttyname(self._theirs)
        self._asked = bytearray()
        self._told = bytearray()
        self._swallowed: tuple[bytes, ...] = ()
        self._news = Condition()
        self._is_closed = False
        self._thread = Thread(target=self._relay, daemon=True)
        self._thread.start()

    def commands(self) -> list[str]:
        """Return what the adapter has written so far, without texts and controls, in order."""
        with self._news:
            asked = bytes(self._asked)
        lines = asked.replace(b"\x1b", b"\r").replace(b"\x1a", b"\r").split(b"\r")
        return [line.decode("ascii") for line in lines if line.startswith(b"AT")]

    def controls(self) -> bytes:
        """Return the control octets written so far: 1A lets a text go, 1B gives it up."""
        with self._news:
            return bytes(octet for octet in self._asked if octet in (0x1A, 0x1B))

    def told(self) -> bytes:
        """Return what the modem has said so far."""
        with self._news:
            return bytes(self._told)

    def swallow(self, *starts: bytes) -> None:
        """Lose each line of the modem that begins so, from now on."""
        with self._news:
            self._swallowed = starts

    def inject(self, octets: bytes) -> None:
        """Say something to the modem behind the adapter's back."""
        os.write(self._modem, octets)

    def say(self, octets: bytes) -> None:
        """Say something to the adapter as if the modem had."""
        os.write(self._ours, octets)

    def wait(self, met: Callable[[], bool]) -> None:
        """Wait until something that was relayed makes the condition true."""
        with self._news:
            assert self._news.wait_for(met, _WAIT_S), "what was waited for did not pass the tap"

    def close(self) -> None:
        """End relaying and give the devices back; the adapter sees its modem go."""
        if self._is_closed:
            return
        self._is_closed = True
        os.write(self._waker, b"x")
        self._thread.join(_WAIT_S)
        for descriptor in (self._modem, self._ours, self._theirs, self._wake, self._waker):
            os.close(descriptor)

    def _relay(self) -> None:
        while True:
            ready, _, _ = select.select([self._modem, self._ours, self._wake], [], [])
            if self._wake in ready:
                return
            if self._ours in ready:
                octets = os.read(self._ours, _CHUNK)
                os.write(self._modem, octets)
                with self._news:
                    self._asked += octets
                    self._news.notify_all()
            if self._modem in ready:
                octets = os.read(self._modem, _CHUNK)
                os.write(self._ours, self._kept(octets))
                with self._news:
                    self._told += octets
                    self._news.notify_all()

    def _kept(self, octets: bytes) -> bytes:
        """Leave out the lines to be lost; the modem under test writes each line at once."""
        with self._news:
            swallowed = self._swallowed
        lines = octets.split(b"\r\n")
        return b"\r\n".join(
            line for line in lines if not (swallowed and line.startswith(swallowed))
        )


@contextmanager
def tapped(device: str) -> Iterator[Tap]:
    """Put a tap on a device for a block."""
    tap = Tap(device)
    try:
        yield tap
    finally:
        tap.close()
