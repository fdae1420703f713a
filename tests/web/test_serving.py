"""The server under the pages, asked over a socket of this machine."""

import socket
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from http.client import HTTPConnection
from threading import Event

import pytest
from flask import Flask, request

from service.errors import RefusedError
from service.web.serving import Server

SAID = {"X-Forwarded-For": "192.0.2.7", "X-Forwarded-Proto": "https"}  # RFC 5737: for examples


@pytest.fixture
def mirror() -> Flask:
    """An app that says who asks it, and how."""
    app = Flask("mirror", static_folder=None)

    @app.get("/")
    def said() -> str:
        return f"{request.remote_addr} {request.scheme}"

    return app


def asked(server: Server, path: str = "/", **headers: str) -> tuple[int, str, dict[str, str]]:
    """Ask a server, and return its status, its words and its headers."""
    host, port = server.address.removeprefix("http://").split(":")
    connection = HTTPConnection(host, int(port), timeout=10)
    connection.request("GET", path, headers=headers)
    answer = connection.getresponse()
    found = answer.status, answer.read().decode(), dict(answer.getheaders())
    connection.close()
    return found


def is_open(server: Server) -> bool:
    """Ask whether a newcomer is let in."""
    try:
        asked(server)
    except OSError:
        return False
    return True


@pytest.fixture
def open_server(mirror: Flask) -> Iterator[Server]:
    """A server that no proxy stands before."""
    server = Server(mirror, host="127.0.0.1", port=0)
    server.start()
    yield server
    server.close()


def test_nobody_is_believed_about_who_asks(open_server: Server) -> None:
    """OWASP ASVS 5.0, 4.1.3: forwarded headers count only from the proxy that was named."""
    assert asked(open_server, **SAID)[1] == "127.0.0.1 http"


def test_the_named_proxy_is_believed(mirror: Flask) -> None:
    server = Server(mirror, host="127.0.0.1", port=0, proxy="127.0.0.1")
    server.start()

    said = asked(server, **SAID)[1]

    server.close()
    assert said == "192.0.2.7 https"


def test_the_server_does_not_name_itself(open_server: Server) -> None:
    """OWASP ASVS 5.0, 13.4.6."""
    assert "Server" not in asked(open_server)[2]


def test_a_header_that_never_ends_is_refused(open_server: Server) -> None:
    assert asked(open_server, **{"X-Long": "a" * 20_000})[0] == 431


def test_closing_lets_whoever_is_inside_have_the_answer(mirror: Flask) -> None:
    inside, go_on = Event(), Event()

    @mirror.get("/slow")
    def slow() -> str:
        inside.set()
        return "in the end" if go_on.wait(10) else "too late"

    server = Server(mirror, host="127.0.0.1", port=0)
    server.start()
    with ThreadPoolExecutor() as pool:
        answer = pool.submit(asked, server, "/slow")
        assert inside.wait(10)
        closed = pool.submit(server.close)
        while is_open(server):
            pass
        go_on.set()
        closed.result()

        assert answer.result()[:2] == (200, "in the end")


def test_closing_does_not_wait_for_a_browser_that_holds_its_line(mirror: Flask) -> None:
    """Closed while the server looks at the line: neither is cut out from under the other."""
    for _ in range(20):
        server = Server(mirror, host="127.0.0.1", port=0)
        server.start()
        host, port = server.address.removeprefix("http://").split(":")
        connection = HTTPConnection(host, int(port), timeout=10)
        connection.request("GET", "/")
        connection.getresponse().read()

        server.close()

        assert connection.sock.recv(1) == b""
        connection.close()


def test_a_server_that_never_opened_can_be_closed(mirror: Flask) -> None:
    server = Server(mirror, host="127.0.0.1", port=0)

    server.close()

    with pytest.raises(ConnectionRefusedError):
        asked(server)


def test_a_port_in_use_is_named_with_what_to_do(mirror: Flask) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]

        with pytest.raises(RefusedError, match=f"port {port} cannot be used"):
            Server(mirror, host="127.0.0.1", port=port)
