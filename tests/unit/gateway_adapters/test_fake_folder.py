"""The fake gateway on a folder: one pretend network for several processes, and after a kill."""

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from subprocess import Popen
from threading import Timer

import pytest

from gateway_adapters.contract import HealthState, Rejected, RejectKind, Scope
from gateway_adapters.errors import GatewayConfigError
from gateway_adapters.events import Event
from gateway_adapters.fake import FakeGateway
from gateway_adapters.fake_script import LateReceipt
from tests.outgoing import HALF_MINUTE_LATER, NEXT_EVENING, PHONE, StoppedClock, an_outgoing

ROOT = Path(__file__).parents[3]
LIMIT_S = 60.0
SENDER = """
import sys
from itertools import count
from pathlib import Path
from gateway_adapters.fake import FakeGateway
from tests.outgoing import HALF_MINUTE_LATER, StoppedClock, an_outgoing

name, many = sys.argv[2], int(sys.argv[3])
gateway = FakeGateway(clock=StoppedClock(), folder=Path(sys.argv[1]))
print("ready", flush=True)
sys.stdin.readline()
for number in range(many) if many else count():
    message = an_outgoing(f"{name}-{number}")
    gateway.submit([message], deadline=HALF_MINUTE_LATER)
    print(message.token, flush=True)
"""


def _open(folder: Path) -> FakeGateway:
    return FakeGateway(clock=StoppedClock(), folder=folder)


def _send(gateway: FakeGateway, message_id: str = "m1") -> None:
    gateway.submit([an_outgoing(message_id)], deadline=HALF_MINUTE_LATER)


def _events(gateway: FakeGateway) -> list[Event]:
    return gateway.receive(wait_s=0, limit=1000)


@contextmanager
def _sender(folder: Path, name: str, many: int) -> Iterator["Popen[str]"]:
    """Run a process that sends `many` texts (0: until killed) and prints each token after it.

    It says "ready" first, and starts when it is sent a line.
    """
    command = [sys.executable, "-c", SENDER, str(folder), name, str(many)]
    with Popen(  # noqa: S603 -- our own interpreter and our own words
        command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, cwd=ROOT
    ) as process:
        limit = Timer(LIMIT_S, process.kill)
        limit.start()
        try:
            assert process.stdout is not None
            assert process.stdout.readline() == "ready\n"
            yield process
        finally:
            limit.cancel()
            process.kill()


def _start(process: "Popen[str]") -> None:
    assert process.stdin is not None
    process.stdin.write("go\n")
    process.stdin.flush()


def test_what_was_sent_stays_on_the_phones_after_a_restart(tmp_path: Path) -> None:
    _send(_open(tmp_path))

    assert [text.token for text in _open(tmp_path).texts(PHONE)] == ["m1"]


def test_texts_and_events_come_back_from_the_folder_unchanged(tmp_path: Path) -> None:
    before = _open(tmp_path)
    before.script.append(LateReceipt(due_at=NEXT_EVENING))
    _send(before)
    inbound = before.answer(PHONE, "A3 “ndiyo” 🌱")

    after = FakeGateway(clock=StoppedClock(at=NEXT_EVENING), folder=tmp_path)

    assert after.texts() == before.texts()
    assert _events(after) == [inbound, before.query("fake-m1", PHONE)]


def test_a_late_receipt_stays_late_after_a_restart(tmp_path: Path) -> None:
    before = _open(tmp_path)
    before.script.append(LateReceipt(due_at=NEXT_EVENING))
    _send(before)

    assert _events(_open(tmp_path)) == []


def test_an_event_not_acknowledged_comes_again_after_a_restart(tmp_path: Path) -> None:
    before = _open(tmp_path)
    before.answer(PHONE, "A3")
    taken = _events(before)

    assert _events(before) == []
    assert _events(_open(tmp_path)) == taken


def test_an_event_acknowledged_never_comes_again(tmp_path: Path) -> None:
    before = _open(tmp_path)
    before.answer(PHONE, "A3")
    before.answer(PHONE, "D2")
    first, second = _events(before)

    before.ack(first)
    before.ack(first)

    assert _events(_open(tmp_path)) == [second]


def test_two_open_gateways_see_one_network(tmp_path: Path) -> None:
    one, other = _open(tmp_path), _open(tmp_path)

    _send(one)
    ours = one.answer(PHONE, "A3")
    theirs = other.answer(PHONE, "D2")
    _send(other)

    assert [text.token for text in one.texts()] == ["m1", "m1"]
    assert [ours.event_id, theirs.event_id] == ["in-1", "in-2"]
    assert [text.gateway_ids for text in one.texts()] == [("fake-m1",), ("fake-m1-2",)]


def test_what_one_gateway_acknowledged_the_other_no_longer_gets(tmp_path: Path) -> None:
    one, other = _open(tmp_path), _open(tmp_path)
    one.answer(PHONE, "A3")
    for event in _events(one):
        one.ack(event)

    assert _events(other) == []


def test_waiting_notices_what_another_gateway_wrote(tmp_path: Path) -> None:
    one, other = _open(tmp_path), _open(tmp_path)
    later = Timer(0.15, lambda: other.answer(PHONE, "A3"))
    later.start()

    events = one.receive(wait_s=LIMIT_S, limit=10)
    later.join()

    assert [event.event_id for event in events] == ["in-1"]


def test_half_a_line_left_by_a_killed_process_never_happened(tmp_path: Path) -> None:
    _send(_open(tmp_path))
    journal = tmp_path / "journal.jsonl"
    whole = journal.read_bytes()
    journal.write_bytes(whole + whole[: len(whole) // 2])

    after = _open(tmp_path)
    _send(after, "m2")

    assert [text.token for text in after.texts()] == ["m1", "m2"]
    assert [text.token for text in _open(tmp_path).texts()] == ["m1", "m2"]
    assert len(_events(_open(tmp_path))) == 2


def test_a_folder_with_another_program_s_lines_is_refused(tmp_path: Path) -> None:
    (tmp_path / "journal.jsonl").write_text('{"op":"Other"}\n')

    with pytest.raises(GatewayConfigError, match="a folder of its own"):
        _open(tmp_path)


def test_a_folder_that_cannot_be_made_is_refused(tmp_path: Path) -> None:
    (tmp_path / "file").touch()

    with pytest.raises(GatewayConfigError, match="cannot be made"):
        _open(tmp_path / "file" / "folder")


def test_a_journal_emptied_in_use_is_refused(tmp_path: Path) -> None:
    gateway = _open(tmp_path)
    _send(gateway)
    (tmp_path / "journal.jsonl").unlink()

    with pytest.raises(GatewayConfigError, match="start the program again"):
        gateway.texts()


def test_a_text_that_cannot_be_written_was_not_sent(tmp_path: Path) -> None:
    folder = tmp_path / "network"
    gateway = _open(folder)
    shutil.rmtree(folder)

    (outcome,) = gateway.submit([an_outgoing()], deadline=HALF_MINUTE_LATER)

    assert isinstance(outcome, Rejected)
    assert (outcome.kind, outcome.scope, outcome.code) == (
        RejectKind.TRANSIENT,
        Scope.ROUTE,
        "not-sent",
    )
    assert gateway.health().state is HealthState.DEGRADED


def test_two_processes_writing_at_once_lose_nothing(tmp_path: Path) -> None:
    with _sender(tmp_path, "p", 600) as one, _sender(tmp_path, "q", 600) as other:
        for process in (one, other):
            _start(process)
        printed = [process.communicate(timeout=LIMIT_S)[0].split() for process in (one, other)]

    network = _open(tmp_path)
    tokens = [text.token for text in network.texts()]
    assert [len(lines) for lines in printed] == [600, 600]
    assert [token for token in tokens if token.startswith("p")] == printed[0]
    assert [token for token in tokens if token.startswith("q")] == printed[1]
    assert len({event.event_id for event in network.receive(wait_s=0, limit=2000)}) == 1200


def test_a_killed_process_loses_nothing_it_was_told_was_sent(tmp_path: Path) -> None:
    """SIGKILL at an unforeseen instant; the one text under way may be on the phone or not."""
    with _sender(tmp_path, "p", 0) as process:
        _start(process)
        assert process.stdout is not None
        told = [process.stdout.readline().strip() for _ in range(40)]
        os.kill(process.pid, signal.SIGKILL)
        told += process.stdout.read().split()

    tokens = [text.token for text in _open(tmp_path).texts()]
    assert told[:2] == ["p-0", "p-1"]
    assert tokens[: len(told)] == told
    assert len(tokens) - len(told) in {0, 1}


def test_an_acknowledgement_that_cannot_be_kept_is_shown_and_raises_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "network"
    gateway = _open(folder)
    gateway.answer(PHONE, "A3")
    (event,) = _events(gateway)
    shutil.rmtree(folder)

    gateway.ack(event)

    assert gateway.health().state is HealthState.DEGRADED
