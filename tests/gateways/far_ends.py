"""Each make of gateway that reaches a far end of another make, opened alike.

For what is asked of all of them: the make's name goes in, and what the far end should do wrong.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass

from gateway_adapters import registry
from gateway_adapters.contract import Clock, Gateway
from tests.gateways import serial_modem_line
from tests.gateways.http_form_line import (
    API_KEY,
    SECRET,
    settings_for,
    webhook_settings,
)
from tests.gateways.peers.driver import Peer, http_service, message_centre, modem
from tests.gateways.smpp_line import smpp_settings, texts_of

SMPP, MODEM, HTTP = "smpp", "serial_modem", "http_form"
MAKES = (SMPP, MODEM, HTTP)
PATIENT: Mapping[str, float] = {"prompt_s": 5.0, "answer_s": 20.0}
IMPATIENT: Mapping[str, Mapping[str, object]] = {
    SMPP: {"answer_timeout_s": 0.5},
    MODEM: {"answer_s": 0.5, "late_s": 0.2},
    HTTP: {"read_s": 0.5},
}
"""How each make is told to give an answer up after half a second."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Far:
    """A far end: its process, how it is reached, and the whole texts that it counts."""

    make: str
    peer: Peer
    settings: Mapping[str, object]
    arrived: Callable[[], list[tuple[str, str]]]

    def open(self, clock: Clock) -> Gateway:
        """Open a gateway to it, as the service would."""
        return registry.open_gateway(self.make, self.settings, clock)


def far_end(
    make: str, faults: Mapping[str, object] | None = None, **settings: object
) -> AbstractContextManager[Far]:
    """Run the far end of a make for a block, with its faults; `settings` change the gateway's."""
    runners: dict[str, Callable[..., AbstractContextManager[Far]]] = {
        SMPP: _centre,
        MODEM: _modem,
        HTTP: _http,
    }
    return runners[make](dict(faults or {}), settings)


@contextmanager
def opened(far: Far, clock: Clock) -> Iterator[Gateway]:
    """Open a gateway to a far end for a block."""
    gateway = far.open(clock)
    try:
        yield gateway
    finally:
        gateway.close(drain_s=0)


@contextmanager
def _centre(faults: dict[str, object], settings: Mapping[str, object]) -> Iterator[Far]:
    with message_centre(**faults) as (peer, port):

        def arrived() -> list[tuple[str, str]]:
            peer.tell(act="count")  # its answer comes after all that it said before
            return texts_of(peer.heard("submit"))

        given = smpp_settings(port, **settings)
        yield Far(make=SMPP, peer=peer, settings=given, arrived=arrived)


@contextmanager
def _modem(faults: dict[str, object], settings: Mapping[str, object]) -> Iterator[Far]:
    with modem(**faults) as (peer, device):
        given = {"port": device, **serial_modem_line.FAST, **PATIENT, **settings}
        yield Far(
            make=MODEM,
            peer=peer,
            settings=given,
            arrived=lambda: serial_modem_line.arrived(peer),
        )


@contextmanager
def _http(faults: dict[str, object], settings: Mapping[str, object]) -> Iterator[Far]:
    hooks = webhook_settings()
    receipts = hooks["receipts"]
    assert isinstance(receipts, dict)
    receipts["token"] = "/token"  # noqa: S105 -- where our id of the text stands
    with http_service(**({"key": API_KEY, "secret": SECRET} | faults)) as (peer, port):
        yield Far(
            make=HTTP,
            peer=peer,
            settings=settings_for(port, **({"webhooks": hooks, **settings})),
            arrived=lambda: [(str(item["to"]), str(item["text"])) for item in peer.heard("submit")],
        )
