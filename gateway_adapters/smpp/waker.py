"""Lets one thread wake another that waits for sockets."""

import socket
from threading import Lock

_READ = 64


class Waker:
    """Readable, to a selector, once somebody has woken its owner; waking twice is waking once."""

    def __init__(self) -> None:
        self._near, self._far = socket.socketpair()
        self._lock = Lock()
        self._awake = False

    def fileno(self) -> int:
        """Return what a selector waits for."""
        return self._near.fileno()

    def wake(self) -> None:
        """Make the owner's waiting end, or its next waiting not begin."""
        with self._lock:
            if not self._awake and self._far.fileno() >= 0:
                self._awake = True
                self._far.send(b"\0")

    def sleep(self) -> None:
        """Take the waking in; one that comes later counts anew."""
        with self._lock:
            if self._awake:
                self._awake = False
                self._near.recv(_READ)

    def close(self) -> None:
        """Give both sockets back; waking does nothing any more."""
        with self._lock:
            self._near.close()
            self._far.close()
