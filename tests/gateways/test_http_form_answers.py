"""Answers that the peer does not give, from a second far end on another HTTP server."""

import time
from datetime import timedelta
from io import BufferedIOBase
from threading import Event

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Rejected,
)
from tests.gateways.far_server import Request, Write, answer, far_server, in_turn
from tests.gateways.http_form_line import IDEMPOTENT, answered, opened, send, settings_for
from tests.outgoing import EVENING, an_outgoing

TAKEN = answer(200, b'{"id": 17}')


def _hang_up(_: Request, wire: BufferedIOBase) -> None:
    wire.close()


def _drip(octets: bytes) -> Write:
    """Write one octet each 100 ms."""

    def write(_: Request, wire: BufferedIOBase) -> None:
        never = Event()
        for place in range(len(octets)):
            wire.write(octets[place : place + 1])
            never.wait(0.1)

    return write


def test_an_id_that_is_a_number_is_taken_as_text() -> None:
    """Fault: other id form (a number instead of a string)."""
    assert answered(TAKEN)[0] == Accepted(gateway_ids=("17",))


def test_an_id_may_stand_in_a_header() -> None:
    outcome, _ = answered(answer(201, b"", "X-Message: a7"), id={"header": "X-Message"})

    assert outcome == Accepted(gateway_ids=("a7",))


@pytest.mark.parametrize(
    "body",
    [b"[]", b"17", b'"17"', b"null", b'{"id": null}', b'{"id": true}', b'{"id": {}}', b'{"id": ""}',
     b"\xff\xfe", b"[" * 60_000, b"", b'{"id": "' + b"9" * 300 + b'"}', b'{"id": "a\\u0000"}'],
    ids=range(13),
)  # fmt: skip
def test_an_answer_of_a_wrong_kind_is_ambiguous(body: bytes) -> None:
    """Fault: garbage (wrong type)."""
    assert isinstance(answered(answer(200, body))[0], Ambiguous)


@pytest.mark.parametrize(
    "octets",
    [b"", b"HTTP/1.1 200", b"HTTP/1.1 200 X\r\nContent-Length: 99\r\n\r\n{", b"\x00" * 500,
     b"HTTP/1.1 200 X\r\nTransfer-Encoding: chunked\r\n\r\nzz\r\n", b"HTTP/1.1 100 X\r\n\r\n"],
    ids=["nothing", "half a line", "half a body", "noise", "bad chunk", "only go on"],
)  # fmt: skip
def test_octets_that_are_no_answer_are_ambiguous(octets: bytes) -> None:
    """Fault: cut and garbage on the wire."""

    def write(_: Request, wire: BufferedIOBase) -> None:
        wire.write(octets)

    assert isinstance(answered(write)[0], Ambiguous)


def test_headers_without_an_end_are_bounded() -> None:
    """Fault: huge (headers)."""
    count = 0

    def write(_: Request, wire: BufferedIOBase) -> None:
        nonlocal count
        wire.write(b"HTTP/1.1 200 X\r\n")
        for _number in range(500):
            count += 1
            wire.write(b"X-Pad: " + b"x" * 100_000 + b"\r\n")

    assert isinstance(answered(write)[0], Ambiguous)
    assert count < 200


def test_a_huge_body_is_left_unread() -> None:
    """Fault: huge; the server cannot write its 50 MB out."""
    count = 0

    def write(_: Request, wire: BufferedIOBase) -> None:
        nonlocal count
        wire.write(b'HTTP/1.1 200 X\r\nContent-Length: 50000011\r\n\r\n{"id":"1"} ')
        for _number in range(500):
            count += 1
            wire.write(b"x" * 100_000)

    assert isinstance(answered(write)[0], Ambiguous)
    assert count < 200


@pytest.mark.parametrize("head", [True, False], ids=["in the headers", "in the body"])
def test_one_octet_each_tenth_of_a_second_does_not_move_the_deadline(head: bool) -> None:  # noqa: FBT001 -- a case
    """Fault: slow peer, dripping; our own limit stands though each read is in time."""
    whole = b'HTTP/1.1 200 X\r\nContent-Length: 10\r\n\r\n{"id":"1"}'
    start = 0 if head else len(whole) - 10

    def write(request: Request, wire: BufferedIOBase) -> None:
        wire.write(whole[:start])
        _drip(whole[start:])(request, wire)

    with far_server(write) as server, opened(settings_for(server.port, total_s=0.5)) as gateway:
        began = time.monotonic()
        (outcome,) = send(gateway)
        took_s = time.monotonic() - began

    assert isinstance(outcome, Ambiguous)
    assert 0.48 <= took_s <= 0.5 * 1.1 + 0.2


def test_the_callers_deadline_stands_before_our_own() -> None:
    """Fault: silence; the deadline of the call is the nearer one."""
    with far_server(_drip(b"HTTP/1.1 200 X\r\n" * 9)) as server:
        with opened(settings_for(server.port)) as gateway:
            began = time.monotonic()
            outcomes = gateway.submit(
                [an_outgoing("m1"), an_outgoing("m2")],
                deadline=EVENING + timedelta(milliseconds=300),
            )
            took_s = time.monotonic() - began
        assert len(server.requests) == 1

    assert [type(outcome) for outcome in outcomes] == [Ambiguous, Rejected]
    assert took_s <= 0.3 * 1.1 + 0.2


def test_a_refusal_of_the_retry_does_not_make_the_first_try_unsent() -> None:
    """Fault: the first try is cut, the second is let in no more."""
    outcome, server = answered(in_turn(_hang_up, answer(401, b"")), **IDEMPOTENT)

    assert isinstance(outcome, Ambiguous)
    assert len(server.requests) == 2


def test_without_the_word_of_the_settings_nothing_is_tried_twice() -> None:
    """Fault: cut; a key alone is no promise that the gateway looks at it."""
    outcome, server = answered(in_turn(_hang_up, TAKEN), idempotency_header="Idempotency-Key")

    assert isinstance(outcome, Ambiguous)
    assert len(server.requests) == 1


def test_a_text_that_the_gateway_had_before_keeps_its_first_id() -> None:
    """Status 409 under our key: accepted earlier."""
    outcome, server = answered(answer(409, b'{"id": "old"}'), idempotency_header="Idempotency-Key")

    assert outcome == Accepted(gateway_ids=("old",))
    assert server.requests[0].headers["idempotency-key"] == "m1"
