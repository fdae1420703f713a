"""The server under the pages: waitress, with limits on what one visitor can ask of it."""

import socket
from threading import Thread
from typing import Any

from flask import Flask
from waitress.server import TcpWSGIServer, create_server

from service.errors import RefusedError

BODY_BYTES = 6_000_000
HEADER_BYTES = 16_384
STALLED_S = 30
THREADS = 4
FORWARDED = {"x-forwarded-for", "x-forwarded-proto"}


class Server:
    """Answers browsers in threads of its own until it is closed."""

    def __init__(self, app: Flask, *, host: str, port: int, proxy: str | None = None) -> None:
        """Take the address; port 0 takes any that is free.

        Only the proxy at the address `proxy` is believed about who asks, and how.

        Raises:
            RefusedError: `port`, where the address is taken or may not be used.
        """
        try:
            door = socket.create_server((host, port))
        except OSError as error:
            raise RefusedError(
                "port", f"The port {port} cannot be used; name another with --port."
            ) from error
        server = create_server(
            app,
            sockets=[door],
            threads=THREADS,
            ident=None,
            max_request_body_size=BODY_BYTES,
            max_request_header_size=HEADER_BYTES,
            channel_timeout=STALLED_S,
            clear_untrusted_proxy_headers=True,
            trusted_proxy=proxy,
            trusted_proxy_headers=set() if proxy is None else FORWARDED,
        )
        if not isinstance(server, TcpWSGIServer):
            raise TypeError("one socket makes one server")
        self._server: Any = server  # its stubs have its parts wrong
        self.address = f"http://{host}:{server.getsockname()[1]}"
        self._thread = Thread(target=self._server.run, daemon=True)

    def start(self) -> None:
        """Begin to answer."""
        self._thread.start()

    def close(self) -> None:
        """Take no more visitors, let those inside have their answers, and stop within 15 s."""
        if not self._thread.is_alive():
            self._server.close()
            return
        # only the thread that looks at the sockets may close them: it may be looking
        self._server.trigger.pull_trigger(self._close_door)
        self._server.task_dispatcher.shutdown(timeout=10)
        self._server.trigger.pull_trigger(self._close_rest)
        self._thread.join(timeout=5)

    def _close_door(self) -> None:
        self._server.del_channel()
        self._server.socket.close()

    def _close_rest(self) -> None:
        for channel in self._server.active_channels.values():
            channel.close_when_flushed = True
        self._server.trigger.close()
