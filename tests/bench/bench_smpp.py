"""Texts through an SMPP session on this machine, against the codec alone and one at a time.

The centre is the tests' `smsc.js`. The codec's part is what a text cannot do without: its
submit_sm written, its answer read; where receipts are asked for, the deliver_sm read and its answer
written too. A last line sets a window of ten against a window of one with a centre that takes its
time, as every real one does.
"""

from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import timedelta
from time import perf_counter

from gateway_adapters.contract import Accepted, Outgoing
from gateway_adapters.smpp.addresses import Address
from gateway_adapters.smpp.codec import Submit, read, write_plain, write_submit
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.gateway import SmppGateway
from gateway_adapters.smpp.layout import HEADER
from gateway_adapters.smpp.opening import open_smpp
from service.clock import system_clock
from tests.bench.common import Line, Setting, interleave, ratio_line
from tests.gateways.peers.driver import HERE, running
from tests.gateways.smpp_line import smpp_settings
from tests.outgoing import an_outgoing

ROUNDS = 5
TEXTS = 2_000
FEW_TEXTS = 200  # one at a time takes 5 ms each
LATE_MS = 5
BATCH = 100
TEXT = "Jibu A3 ukimaliza."
_SAID = (
    b"id:9F0001 sub:001 dlvrd:001 submit date:2711261031 done date:2711261031 stat:DELIVRD "
    b"err:000 text:Jibu A3 ukimaliza."
)
_ADDRESSES = b"\x01\x01255100000000\0\x03\x0015050\0"
_PARAMETERS = b"\x04\x27\0\1\2\0\x1e\0\x079F0001\0"  # message_state, receipted_message_id
# a receipt's deliver_sm, from its service type on (SMPP 3.4, 4.6.1)
_RECEIPT = b"".join((b"\0", _ADDRESSES, b"\4", bytes(8), bytes([len(_SAID)]), _SAID, _PARAMETERS))
PHONES = tuple(f"+2551000000{place:02}" for place in range(100))


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A gateway with its centre."""

    gateway: SmppGateway

    def texts_per_s(self, many: int, *, receipts: bool = True) -> float:
        """Send so many texts, and take their receipts; return texts a second."""
        messages = [_message(place, receipts=receipts) for place in range(many)]
        began = perf_counter()
        for first in range(0, many, BATCH):
            deadline = system_clock() + timedelta(seconds=30)
            outcomes = self.gateway.submit(messages[first : first + BATCH], deadline=deadline)
            if not all(isinstance(outcome, Accepted) for outcome in outcomes):
                raise SystemExit("The centre did not take a text; the figure would say nothing.")
            if receipts:
                self._take(wait_s=0)
        took_s = perf_counter() - began
        self._take(wait_s=0.2)
        return many / took_s

    def _take(self, *, wait_s: float) -> None:
        while events := self.gateway.receive(wait_s=wait_s, limit=1_000):
            for event in events:
                self.gateway.ack(event)


def smpp_vs_codec(setting: Setting) -> Iterator[Line]:
    """Give the lines of a session with a window of ten against the codec alone."""
    with _running(window=10) as session:
        session.texts_per_s(TEXTS)  # the first texts find everything cold
        seen = interleave(
            setting.rounds_or(ROUNDS),
            {
                "codec": lambda: _codec_per_s(receipts=False),
                "session": lambda: session.texts_per_s(TEXTS, receipts=False),
                "codec, receipts": lambda: _codec_per_s(receipts=True),
                "session, receipts": lambda: session.texts_per_s(TEXTS),
            },
        )
    for name, kind, note in (
        ("gateway.smpp_vs_codec", "", "receipts off"),
        ("gateway.smpp_receipts_vs_codec", ", receipts", "receipts on, in both"),
    ):
        yield ratio_line(
            name,
            seen[f"session{kind}"],
            seen[f"codec{kind}"],
            goal=">=0.3",
            unit="/s",
            notes=["window 10", note],
        )


def smpp_window(setting: Setting) -> Iterator[Line]:
    """Give the line of a window of ten against a window of one, the centre's delay 5 ms."""
    with _running(window=10, late_ms=LATE_MS) as ten, _running(window=1, late_ms=LATE_MS) as one:
        seen = interleave(
            setting.rounds_or(ROUNDS),
            {
                "window 1": lambda: one.texts_per_s(FEW_TEXTS),
                "window 10": lambda: ten.texts_per_s(FEW_TEXTS),
            },
        )
    yield ratio_line(
        "gateway.smpp_window1",
        seen["window 10"],
        seen["window 1"],
        goal=None,
        unit="/s",
        notes=[f"the centre answers after {LATE_MS} ms"],
    )


@contextmanager
def _running(*, window: int, late_ms: int = 0) -> Iterator[Running]:
    settings = f'{{"receiptMs":0,"lateMs":{late_ms}}}'
    command = ["node", str(HERE / "smsc.js"), "--port", "0", "--quiet", "1", "--set", settings]
    with ExitStack() as stack:
        _, port = stack.enter_context(running(command))
        assert isinstance(port, int)
        gateway = open_smpp(smpp_settings(port, window=window, rate_per_s=1e6), system_clock)
        stack.callback(gateway.close, drain_s=1)
        yield Running(gateway=gateway)


def _message(place: int, *, receipts: bool) -> Outgoing:
    message = an_outgoing(f"m{place}", to=PHONES[place % len(PHONES)], text=TEXT)
    valid_until = system_clock() + timedelta(days=1)
    return replace(message, valid_until=valid_until, want_receipt=receipts)


def _codec_per_s(*, receipts: bool) -> float:
    """Return how many texts' PDUs a second are written and read, without a socket."""
    submit = Submit(
        source=Address(ton=3, npi=0, digits="15050"),
        destination=Address(ton=1, npi=1, digits=PHONES[0][1:]),
        octets=TEXT.encode("ascii"),
        registered_delivery=1,
        validity_period="000001000000000R",
    )
    answer = _pdu(Command.SUBMIT_SM_RESP, b"9F0001\0")
    receipt = _pdu(Command.DELIVER_SM, _RECEIPT)
    began = perf_counter()
    for sequence in range(1, TEXTS + 1):
        write_submit(submit, sequence=sequence)
        read(answer)
        if receipts:
            read(receipt)
            write_plain(Command.DELIVER_SM_RESP, sequence=sequence)
    return TEXTS / (perf_counter() - began)


def _pdu(command: Command, body: bytes) -> bytes:
    return HEADER.pack(HEADER.size + len(body), command, 0, 1) + body
