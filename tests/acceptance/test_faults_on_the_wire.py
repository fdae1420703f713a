"""Far ends that are slow, noisy or endless: other work goes on, and no text is lost or doubled."""

import tracemalloc
from collections.abc import Mapping
from pathlib import Path
from threading import Thread

import pytest

from service.messages.lifecycle import State
from service.records.traffic import InboundRow
from tests.gateways.far_ends import HTTP, MODEM, SMPP
from tests.gateways.far_world import FarWorld, far_world
from tests.gateways.peers.driver import WAIT_S
from tests.gateways.smpp_line import settle
from tests.world_looks import rows

Faults = Mapping[str, object]
THREE = ["Shamba A, lita 4.", "Shamba B, lita 2.", "Shamba C, lita 1."]
MEBIBYTE = 1 << 20
LYING_LENGTH = (  # a deliver_sm whose sm_length of 200 is not there
    "0000002e000000050000000000000063"
    "000101323535313030000000313530353000000000000000000000c84133"
)  # fmt: skip


def texts_in(far: FarWorld) -> list[str]:
    """Return the texts from phones that the records hold, without what was noise."""
    return [row.text for row in rows(far.world, InboundRow) if row.sender.startswith("+")]


def ready(far: FarWorld) -> None:
    """Wait until the gateway has reached its far end."""
    far.gateway.check(deadline=far.world.clock().replace(second=30))


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"splitMs": 10}, id="smpp, in two"),
        pytest.param(SMPP, {"lateMs": 300}, id="smpp, late"),
        pytest.param(MODEM, {"dribble_ms": 1}, id="modem, octet by octet"),
        pytest.param(HTTP, {"dripMs": 5}, id="http, octet by octet"),
        pytest.param(HTTP, {"slowMs": 200}, id="http, late"),
    ],
)
def test_beside_a_slow_far_end_phones_are_heard(tmp_path: Path, make: str, faults: Faults) -> None:
    """F17: every text goes once, and one from a phone is stored while they are under way."""
    with far_world(tmp_path, make, faults) as far:
        ready(far)
        far.queue(*THREE)
        sending = Thread(target=far.dispatch, daemon=True)
        sending.start()
        far.say("A3")
        far.hear(lambda: texts_in(far) == ["A3"])
        sending.join(WAIT_S)
        far.peer.tell(**dict.fromkeys(faults, 0))
        far.hear(lambda: State.CLAIMED not in far.states())

        assert set(far.states()[:3]) <= {State.SUBMITTED, State.DELIVERED}
        assert far.arrived()[:3] == THREE


STREAM_LOST = {  # nothing after them can be read, so a new connection is needed
    "random": "9e3779b97f4a7c15bf58476d1ce4e5b994d049bb133111eb",
    "length 0": "00000000" * 4,
    "length 7FFFFFFF": "7fffffff000000050000000000000001",
    "65 537": "00010001000000050000000000000001" + "41" * 65_521,
}
PASSED_OVER = {"unknown command": "00000010000007770000000000000005", "lying": LYING_LENGTH}
NOISE = {
    "all octets": bytes(range(256)) * 4 + b"\r\n",
    "half lines": b'\r\n+CMTI: "SM"\r\n+CDS: 26\r\nzz\r\n',
    "stray answers": b"\r\nOK\r\n+CMS ERROR: 38\r\n> \r\n",
    "4 KiB line": b"\r\n" + b"x" * 4096 + b"\r\n",
}
GARBAGE = [
    *(pytest.param(SMPP, octets, id=f"smpp, {name}") for name, octets in STREAM_LOST.items()),
    *(pytest.param(SMPP, octets, id=f"smpp, {name}") for name, octets in PASSED_OVER.items()),
    *(pytest.param(MODEM, noise.hex(), id=f"modem, {name}") for name, noise in NOISE.items()),
]


@pytest.mark.parametrize(("make", "octets"), GARBAGE)
def test_garbage_loses_nothing_and_fills_no_memory(tmp_path: Path, make: str, octets: str) -> None:
    """F18, F19: what comes after it, both ways, arrives once; a length that lies takes no room."""
    with far_world(tmp_path, make) as far:
        ready(far)
        tracemalloc.start()
        try:
            far.peer.tell(act="raw", hex=octets)
            if octets in STREAM_LOST.values():
                far.peer.wait_for("bind", count=2)
            far.say("A3")
            far.hear(lambda: texts_in(far) == ["A3"])
            far.send(*THREE)
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()
        if make == SMPP:
            settle(far.peer)
        for _ in range(3):
            far.later(minutes=2)
            far.step()

        assert peak < 8 * MEBIBYTE
        assert sorted(text for text in far.arrived() if text in THREE) == THREE
        assert State.QUEUED not in far.states()[:3]


def test_a_webhook_that_cannot_be_read_is_taken_and_says_nothing(tmp_path: Path) -> None:
    """F18: signed, and torn or of a wrong kind: answered, so that it does not come for ever."""
    with far_world(tmp_path, HTTP) as far:
        answers = [*far.post_body('{"type": "text", '), *far.post_body("[7]"), *far.post_body("")]

        assert answers == [200] * 3
        assert rows(far.world, InboundRow) == []


def test_an_endless_answer_is_a_doubt_and_is_not_read_to_its_end(tmp_path: Path) -> None:
    """F19: 50 MB where 64 KiB are the limit: unknown, one text there, and the next goes."""
    with far_world(tmp_path, HTTP, {"hugeNext": 1}) as far:
        ready(far)
        tracemalloc.start()
        try:
            far.send(*THREE)
            _, peak = tracemalloc.get_traced_memory()
        finally:
            tracemalloc.stop()

        assert peak < 8 * MEBIBYTE
        assert far.states() == [State.UNKNOWN, State.SUBMITTED, State.SUBMITTED]
        assert far.arrived() == THREE


def test_a_webhook_of_ten_megabytes_is_refused(tmp_path: Path) -> None:
    """F19: 413, and nothing of it is kept."""
    with far_world(tmp_path, HTTP) as far:
        assert far.post_body("x" * 10_000_000) == [413]
        assert rows(far.world, InboundRow) == []
