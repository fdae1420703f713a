"""Several texts in one request, and the end of a gateway with texts under way."""

import asyncio
import time
from concurrent.futures import ThreadPoolExecutor
from io import BufferedIOBase
from threading import Event, Thread

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Outcome,
    Rejected,
)
from gateway_adapters.http_form.attempt import Attempt
from gateway_adapters.http_form.exchange import Wire, open_transport
from gateway_adapters.http_form.opening import open_http_form
from gateway_adapters.http_form.resolve import system_look_up
from gateway_adapters.http_form.sender import Sender
from gateway_adapters.http_form.settings import read_settings
from tests.gateways.far_server import (
    FarServer,
    Request,
    Write,
    answer,
    far_server,
    in_turn,
)
from tests.gateways.http_form_line import opened, send, settings_for
from tests.outgoing import PHONE, StoppedClock, an_outgoing

TAKEN = answer(200, b'{"id": 17}')


def test_closing_ends_what_is_under_way_and_each_text_has_ananswered() -> None:
    """Fault: silence while we end: what has left is ambiguous, what waits is not sent."""
    begun, release = Event(), Event()

    def write(_: Request, __: BufferedIOBase) -> None:
        begun.set()
        release.wait(10)

    outcomes: list[Outcome] = []
    with far_server(write) as server:
        gateway = open_http_form(settings_for(server.port), StoppedClock())
        caller = Thread(target=lambda: outcomes.extend(send(gateway, "m1", "m2", "m3")))
        caller.start()
        assert begun.wait(10)
        began = time.monotonic()
        gateway.close(drain_s=0.2)
        took_s = time.monotonic() - began
        caller.join(10)
        release.set()

    assert [type(outcome) for outcome in outcomes] == [Ambiguous, Rejected, Rejected]
    assert 0.18 <= took_s < 1
    assert len(server.requests) == 1


def test_several_texts_go_in_one_list_with_ids_in_order() -> None:
    body = b'{"all": [{"id": 1}, {"error": "bad"}, {"id": "3"}]}'
    outcomes, server = _batch(answer(200, body))

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected, Accepted]
    assert len(server.requests) == 1


@pytest.mark.parametrize("body", [b'{"all": [{"id": 1}]}', b'{"all": {}}', b"", b"{"])
def test_a_list_with_too_few_answers_leaves_all_ambiguous(body: bytes) -> None:
    outcomes, _ = _batch(answer(200, body))

    assert [type(outcome) for outcome in outcomes] == [Ambiguous] * 3


def test_a_list_refused_for_one_of_its_texts_goes_one_by_one() -> None:
    good = answer(200, b'{"all": [{"id": 1}]}')
    bad = answer(400, b'{"error": "bad"}')
    outcomes, server = _batch(in_turn(bad, good, bad, good))

    assert [type(outcome) for outcome in outcomes] == [Accepted, Rejected, Accepted]
    assert len(server.requests) == 4
    assert PHONE.encode() in server.requests[0].body


def _batch(write: Write) -> tuple[list[Outcome], FarServer]:
    with far_server(write) as server:
        settings = settings_for(
            server.port,
            batch={"size": 10, "key": "texts", "answers": "/all"},
            errors={"pointer": "/error", "codes": {"bad": {"kind": "permanent"}}},
        )
        with opened(settings) as gateway:
            return send(gateway, "m1", "m2", "m3"), server


def test_what_waits_for_its_turn_is_not_begun_any_more_while_we_end() -> None:
    """The answer under way is awaited and counts; the texts behind it do not leave."""
    begun, release = Event(), Event()

    def write(request: Request, wire: BufferedIOBase) -> None:
        begun.set()
        release.wait(10)
        TAKEN(request, wire)

    async def end_under_way(port: int) -> dict[int, Outcome]:
        settings = read_settings(settings_for(port)).sending
        wire = Wire(settings=settings, transport=open_transport(settings), look_up=system_look_up)
        attempt = Attempt(wire, clock=StoppedClock())
        sender = Sender(settings, attempt, note=lambda _: None, late=lambda _: None)
        items = [(place, an_outgoing(f"m{place}"), 60.0) for place in range(3)]
        call = asyncio.create_task(sender.send(items, left_s=30))
        assert await asyncio.to_thread(begun.wait, 10)
        drain = asyncio.create_task(sender.drain(5))
        await asyncio.sleep(0)
        release.set()
        await drain
        return await call

    # a thread of its own: a browser of other tests may keep a loop running in this one
    with far_server(write) as server, ThreadPoolExecutor(1) as apart:
        outcomes = apart.submit(asyncio.run, end_under_way(server.port)).result(30)

    assert [type(outcomes[place]) for place in range(3)] == [Accepted, Rejected, Rejected]
    assert len(server.requests) == 1
