"""Carries a session's octets over its socket, until one of the two is over."""

import selectors
import socket
import ssl
import time

from gateway_adapters.smpp.session import Session
from gateway_adapters.smpp.traffic import Traffic
from gateway_adapters.smpp.waker import Waker

_READ = 65_536
_WOULD_BLOCK = (BlockingIOError, ssl.SSLWantReadError, ssl.SSLWantWriteError)
GONE = "The connection to the gateway was lost."


class Wire:
    """A non-blocking socket, and a waker that may interrupt the waiting for it."""

    def __init__(self, sock: socket.socket, waker: Waker) -> None:
        self._sock = sock
        self._waker = waker

    def carry(self, session: Session, traffic: Traffic) -> None:
        """Carry until the session is over; it is over also when the socket is."""
        with selectors.DefaultSelector() as selector:
            key = selector.register(self._sock, selectors.EVENT_READ)
            selector.register(self._waker, selectors.EVENT_READ)
            while True:
                with traffic.lock:
                    session.tick(time.monotonic())
                    self.write(session)
                    if session.over is not None:
                        return
                    wait_s = session.wait_s(time.monotonic())
                    events = selectors.EVENT_READ
                    if session.outgoing:
                        events |= selectors.EVENT_WRITE
                if key.events != events:
                    key = selector.modify(self._sock, events)
                for ready, _ in selector.select(wait_s):
                    if ready.fileobj is self._waker:
                        self._waker.sleep()
                    else:
                        self._read(session, traffic)

    def write_beside(self, session: Session) -> None:
        """Write from another thread than the carrying one, with the traffic's lock held.

        That saves waking it for each answer. What does not leave at once it has to be woken for;
        under TLS nothing does, since one thread may not write while another reads.
        """
        if not isinstance(self._sock, ssl.SSLSocket):
            self.write(session)

    def write(self, session: Session) -> None:
        """Write as much as leaves without waiting, with the traffic's lock held."""
        octets = session.outgoing.octets()
        if not octets:
            return
        try:
            session.outgoing.left(self._sock.send(octets))
        except _WOULD_BLOCK:
            if isinstance(self._sock, ssl.SSLSocket):
                session.outgoing.perhaps_left()
        except OSError:
            session.end(GONE)

    def _read(self, session: Session, traffic: Traffic) -> None:
        """Read all there is: TLS may hold octets that the selector does not see."""
        more = True
        while more and session.over is None:
            try:
                octets = self._sock.recv(_READ)
            except _WOULD_BLOCK:
                return
            except OSError:
                octets = b""
            with traffic.lock:
                if octets:
                    session.octets(octets, time.monotonic())
                else:
                    session.end(GONE)
            more = isinstance(self._sock, ssl.SSLSocket) and self._sock.pending() > 0
