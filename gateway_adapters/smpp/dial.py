"""Makes the connection: name, TCP, TLS. Each step can be called off, and has a limit in time."""

import errno
import selectors
import socket
import ssl
import time
from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass

from gateway_adapters.smpp.settings import Place
from gateway_adapters.smpp.waker import Waker

NAME_UNKNOWN = "The gateway's name cannot be found."
NOBODY_THERE = "Nobody listens at the gateway's address."
TOO_SLOW = "The gateway could not be reached in time."
WRONG_CERTIFICATE = "The gateway's certificate is not valid for its name."
NO_CONNECTION = "The connection to the gateway could not be made."


class DialError(Exception):
    """There is no connection; the sentence says why, without address or name."""


class CalledOffError(DialError):
    """Whoever wanted the connection wants it no more."""


@dataclass(frozen=True, slots=True)
class _Patience:
    until: float
    waker: Waker
    called_off: Callable[[], bool]

    def wait(self, sock: socket.socket, event: int) -> None:
        """Wait until the socket is ready.

        Raises:
            DialError: It is not in time, or the dialling was called off.
        """
        with selectors.DefaultSelector() as selector:
            selector.register(sock, event)
            selector.register(self.waker, selectors.EVENT_READ)
            while not self.called_off():
                ready = {key.fileobj for key, _ in selector.select(self._left_s())}
                if self.waker in ready:
                    self.waker.sleep()
                if sock in ready:
                    return
                if not ready:
                    raise DialError(TOO_SLOW)
        raise CalledOffError(NO_CONNECTION)

    def _left_s(self) -> float:
        return max(self.until - time.monotonic(), 0.0)


def dial(place: Place, *, waker: Waker, called_off: Callable[[], bool]) -> socket.socket:
    """Return a connected, non-blocking socket.

    A waking lets it look whether it was called off.

    Raises:
        DialError: No address of the gateway could be reached in time, or TLS failed.
    """
    patience = _Patience(time.monotonic() + place.connect_timeout_s, waker, called_off)
    try:
        found = socket.getaddrinfo(place.host, place.port, type=socket.SOCK_STREAM)
    except OSError as error:
        raise DialError(NAME_UNKNOWN) from error
    failure = DialError(NO_CONNECTION)
    for family, kind, protocol, _, address in found:
        with ExitStack() as undo:
            sock = undo.enter_context(socket.socket(family, kind, protocol))
            try:
                sock = undo.enter_context(_connected(sock, address, place, patience))
            except CalledOffError:
                raise
            except DialError as error:
                failure = error
                continue
            except OSError as error:
                failure = DialError(_sentence(error))
                continue
            undo.pop_all()
            return sock
    raise failure


def _connected(
    sock: socket.socket,
    address: tuple[object, ...],
    place: Place,
    patience: _Patience,
) -> socket.socket:
    sock.settimeout(0)
    sock.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_KEEPALIVE, 1)
    try:
        sock.connect(address)
    except BlockingIOError:
        patience.wait(sock, selectors.EVENT_WRITE)
        if error := sock.getsockopt(socket.SOL_SOCKET, socket.SO_ERROR):
            raise OSError(error, "connect") from None
    if not place.tls:
        return sock
    context = ssl.create_default_context(cafile=place.tls_ca_file)
    secured = context.wrap_socket(
        sock, server_hostname=place.tls_name, do_handshake_on_connect=False
    )
    try:
        _shake_hands(secured, patience)
    except BaseException:
        secured.close()
        raise
    return secured


def _shake_hands(secured: ssl.SSLSocket, patience: _Patience) -> None:
    while True:
        try:
            secured.do_handshake()
        except ssl.SSLWantReadError:
            patience.wait(secured, selectors.EVENT_READ)
        except ssl.SSLWantWriteError:
            patience.wait(secured, selectors.EVENT_WRITE)
        else:
            return


def _sentence(error: OSError) -> str:
    if error.errno == errno.ECONNREFUSED:
        return NOBODY_THERE
    if isinstance(error, ssl.SSLCertVerificationError):
        return WRONG_CERTIFICATE
    return NO_CONNECTION
