"""What waits on the pretend network to be read, whoever has taken it."""

from datetime import datetime
from pathlib import Path

from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_script import LateReceipt
from tests.outgoing import (
    EVENING,
    HALF_MINUTE_LATER,
    NEXT_EVENING,
    PHONE,
    StoppedClock,
    an_outgoing,
)


def unread(gateway: FakeGateway, now: datetime = EVENING) -> int:
    return gateway.unread(now)


def test_a_receipt_and_a_text_wait_until_they_are_acknowledged() -> None:
    gateway = FakeGateway(clock=StoppedClock())
    gateway.submit([an_outgoing("m1")], deadline=HALF_MINUTE_LATER)
    gateway.answer(PHONE, "A1")

    waiting = [unread(gateway)]
    for event in gateway.receive(wait_s=0, limit=10):
        waiting.append(unread(gateway))  # taken is not yet stored
        gateway.ack(event)

    assert [*waiting, unread(gateway)] == [2, 2, 1, 0]


def test_what_is_not_due_does_not_wait_yet() -> None:
    gateway = FakeGateway(clock=StoppedClock())
    gateway.script.append(LateReceipt(due_at=NEXT_EVENING))
    gateway.submit([an_outgoing("m1")], deadline=HALF_MINUTE_LATER)

    assert (unread(gateway, EVENING), unread(gateway, NEXT_EVENING)) == (0, 1)


def test_one_who_only_looks_sees_what_another_process_reads(tmp_path: Path) -> None:
    looker, worker = (FakeGateway(clock=StoppedClock(), folder=tmp_path) for _ in range(2))
    looker.answer(PHONE, "A1")

    before = unread(looker)
    (event,) = worker.receive(wait_s=0, limit=10)
    worker.ack(event)

    assert (before, unread(looker)) == (1, 0)
