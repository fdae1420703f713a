"""A relay on this machine before a peer that knows neither TLS nor IPv6."""

import socket
import ssl
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from threading import Thread

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID

_JOIN_S = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """A self-signed certificate and its key, in one file, and the certificate alone."""

    with_key: Path
    alone: Path


def a_certificate(folder: Path, name: str) -> Certificate:
    """Make a certificate for a name, good for a century, and write it down."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(subject)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(datetime(2020, 1, 1, tzinfo=UTC))
        .not_valid_after(datetime(2120, 1, 1, tzinfo=UTC))
        .add_extension(x509.SubjectAlternativeName([x509.DNSName(name)]), critical=False)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .sign(key, hashes.SHA256())
    )
    alone = certificate.public_bytes(serialization.Encoding.PEM)
    private = key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
    made = Certificate(with_key=folder / "both.pem", alone=folder / "alone.pem")
    made.with_key.write_bytes(private + alone)
    made.alone.write_bytes(alone)
    return made


@contextmanager
def relay(
    peer_port: int, *, host: str = "127.0.0.1", certificate: Certificate | None = None
) -> Iterator[int]:
    """Pass on what comes in on a free port of `host`, under TLS if there is a certificate."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with ExitStack() as stack:
        server = stack.enter_context(socket.create_server((host, 0), family=family))
        context = None
        if certificate is not None:
            context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
            context.load_cert_chain(certificate.with_key)
        open_ones: list[socket.socket] = []
        accepting = Thread(
            target=_accept, args=(server, peer_port, context, open_ones), daemon=True
        )
        accepting.start()
        try:
            yield int(server.getsockname()[1])
        finally:
            for sock in (server, *open_ones):
                with suppress(OSError):
                    sock.shutdown(socket.SHUT_RDWR)
            accepting.join(_JOIN_S)


def _accept(
    server: socket.socket,
    peer_port: int,
    context: ssl.SSLContext | None,
    open_ones: list[socket.socket],
) -> None:
    pipes: list[Thread] = []
    while True:
        try:
            raw, _ = server.accept()
        except OSError:
            break
        with suppress(OSError):
            near = raw if context is None else context.wrap_socket(raw, server_side=True)
            far = socket.create_connection(("127.0.0.1", peer_port))
            open_ones += [near, far]
            for source, sink in ((near, far), (far, near)):
                pipes.append(Thread(target=_pipe, args=(source, sink), daemon=True))
                pipes[-1].start()
            continue
        raw.close()
    for pipe in pipes:
        pipe.join(_JOIN_S)
    for sock in open_ones:
        sock.close()


def _pipe(source: socket.socket, sink: socket.socket) -> None:
    with suppress(OSError):
        while octets := source.recv(65_536):
            sink.sendall(octets)
    with suppress(OSError):
        sink.shutdown(socket.SHUT_WR)
