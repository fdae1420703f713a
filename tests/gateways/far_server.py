"""A second far end, on Python's own HTTP server: whatever answer a test wants, also over TLS."""

import ssl
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from io import BufferedIOBase
from ipaddress import ip_address
from pathlib import Path
from threading import Thread

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from typing_extensions import override

BEGIN = datetime(2020, 1, 1, tzinfo=UTC)
END = datetime(2049, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What came in."""

    method: str
    path: str
    headers: dict[str, str]
    body: bytes


Write = Callable[[Request, BufferedIOBase], None]


@dataclass(slots=True, kw_only=True)
class FarServer:
    """A server that is running: its port, and what it has got."""

    port: int
    requests: list[Request] = field(default_factory=list)


def _name(text: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(text))
    except ValueError:
        return x509.DNSName(text)


def certificate(folder: Path, *names: str) -> Path:
    """Write a certificate that signs itself, and its key, into one file; return the file."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])])
    made = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(BEGIN)
        .not_valid_after(END)
        .add_extension(x509.SubjectAlternativeName([_name(name) for name in names]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )
    file = folder / f"{names[0]}.pem"
    file.write_bytes(
        made.public_bytes(serialization.Encoding.PEM)
        + key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    return file


@contextmanager
def far_server(
    write: Write,
    *,
    address: str = "127.0.0.1",
    tls: Path | None = None,
) -> Iterator[FarServer]:
    """Serve on a free port for a block; `write` writes each answer, status line and all."""
    server: FarServer | None = None

    class Handler(BaseHTTPRequestHandler):
        """Keeps each request and lets the test answer it."""

        def do_POST(self) -> None:
            """Read and answer."""
            assert server is not None
            request = Request(
                method=self.command,
                path=self.path,
                headers={name.lower(): value for name, value in self.headers.items()},
                body=self.rfile.read(int(self.headers["content-length"] or 0)),
            )
            server.requests.append(request)
            with suppress(OSError):  # the other side may have heard enough
                write(request, self.wfile)

        do_PUT = do_POST  # noqa: N815 -- the server's name for it
        do_GET = do_POST  # noqa: N815 -- the server's name for it

        @override
        def log_message(self, *_: object) -> None:
            """Say nothing."""

    class Server(ThreadingHTTPServer):
        """Does not tell of handshakes that fail."""

        daemon_threads = True

        @override
        def finish_request(self, request: object, client_address: object) -> None:
            """Handle one connection."""
            with suppress(OSError):
                super().finish_request(request, client_address)  # type: ignore[arg-type]  # -- as given

        @override
        def handle_error(self, request: object, client_address: object) -> None:
            """Say nothing."""

    http = Server((address, 0), Handler)
    if tls is not None:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(tls)
        http.socket = context.wrap_socket(http.socket, server_side=True)
    server = FarServer(port=http.server_address[1])
    thread = Thread(target=http.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True)
    thread.start()
    try:
        yield server
    finally:
        http.shutdown()
        http.server_close()
        thread.join()


def answer(status: int, body: bytes, *headers: str) -> Write:
    """Return a writer of one fixed answer."""
    lines = [f"HTTP/1.1 {status} X", f"Content-Length: {len(body)}", "Connection: close", *headers]
    head = "\r\n".join(lines).encode("ascii") + b"\r\n\r\n"

    def write(_: Request, wire: BufferedIOBase) -> None:
        wire.write(head + body)

    return write


def in_turn(*writers: Write) -> Write:
    """Return a writer of several answers, one a request."""
    rest = list(writers)

    def write(request: Request, wire: BufferedIOBase) -> None:
        rest.pop(0)(request, wire)

    return write
