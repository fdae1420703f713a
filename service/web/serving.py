"""The server under the pages: waitress, with limits on what one visitor can ask of it."""

from threading import Thread

from flask import Flask
from waitress.server import TcpWSGIServer, create_server

from service.errors import RefusedError

BODY_BYTES = 6_000_000
HEADER_BYTES = 16_384
STALLED_S = 30
THREADS = 4


class Server:
    """Answers browsers in threads of its own until it is closed."""

    def __init__(self, app: Flask, *, host: str, port: int) -> None:
        """Take the address; port 0 takes any that is free.

        Raises:
            RefusedError: `port`, where the address is taken or may not be used; `host`, where it
                stands for several addresses.
        """
        try:
            server = create_server(
                app,
                host=host,
                port=port,
                threads=THREADS,
                ident=None,
                max_request_body_size=BODY_BYTES,
                max_request_header_size=HEADER_BYTES,
                channel_timeout=STALLED_S,
                clear_untrusted_proxy_headers=True,
            )
        except OSError as error:
            raise RefusedError(
                "port", f"The port {port} cannot be used; name another with --port."
            ) from error
        if not isinstance(server, TcpWSGIServer):
            raise RefusedError("host", "Name one address, such as 127.0.0.1, with --host.")
        self._server = server
        self.address = f"http://{host}:{server.getsockname()[1]}"
        self._thread = Thread(target=self._server.run, daemon=True)

    def start(self) -> None:
        """Begin to answer."""
        self._thread.start()

    def close(self) -> None:
        """Stop answering."""
        self._server.close()
        self._thread.join(timeout=5)
