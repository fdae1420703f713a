"""What only an HTTP gateway can do wrong: lead us elsewhere, or let others post in its name."""

import socket
from pathlib import Path

import pytest

from service.messages.lifecycle import State
from service.records.traffic import InboundRow
from tests.gateways.far_ends import HTTP
from tests.gateways.far_world import FarWorld, far_world
from tests.world_looks import rows

TEXT = "Kesho: shamba A, lita 4."
FORGED = [
    pytest.param({"tamper": " "}, id="changed"),
    pytest.param({"sign": False}, id="unsigned"),
]


def texts_in(far: FarWorld) -> list[str]:
    """Return the texts from phones that the records hold."""
    return [row.text for row in rows(far.world, InboundRow)]


def test_a_redirect_is_not_followed_and_rests_the_route(tmp_path: Path) -> None:
    """F23: another address of this machine listens and is never called; the text stays queued."""
    with socket.create_server(("127.0.0.2", 0)) as elsewhere:
        elsewhere.settimeout(0.2)
        leading = f"http://127.0.0.2:{elsewhere.getsockname()[1]}/messages"
        with far_world(tmp_path, HTTP, {"redirectNext": 1, "redirectTo": leading}) as far:
            far.send(TEXT)
            state, rested = far.states(), far.rests()
            far.later(hours=1)
            far.step()

            assert state == [State.QUEUED]
            assert rested
            assert far.arrived() == [TEXT]
        with pytest.raises(TimeoutError):
            elsewhere.accept()


@pytest.mark.parametrize("how", FORGED)
def test_a_forged_post_is_refused_and_changes_nothing(
    tmp_path: Path, how: dict[str, object]
) -> None:
    """F24: neither a receipt nor a text comes of it; the same post, genuine, is taken."""
    with far_world(tmp_path, HTTP) as far:
        far.send(TEXT)
        receipt = {"type": "receipt", "id": "1001", "to": "+255100000001", "state": "done"}
        text = {"type": "text", "from": "+255100000001", "to": "15050", "text": "STOP"}
        answers = [*far.post(receipt, how=how), *far.post(text, how=how)]
        forged = far.states()[0], texts_in(far)
        genuine = [*far.post(receipt), *far.post(text)]

        assert answers == [401, 401]
        assert forged == (State.SUBMITTED, [])
        assert genuine == [200, 200]
        assert (far.states()[0], texts_in(far)) == (State.DELIVERED, ["STOP"])


def test_a_stale_post_is_refused(tmp_path: Path) -> None:
    """F24: genuine, and signed a quarter of an hour ago."""
    with far_world(tmp_path, HTTP) as far:
        document = {"type": "text", "from": "+255100000001", "to": "15050", "text": "STOP"}
        answers = far.post(document, older_s=900)

        assert answers == [401]
        assert texts_in(far) == []


def test_a_replayed_post_has_one_effect(tmp_path: Path) -> None:
    """F24, C8: brought three times, answered alike each time, stored once."""
    with far_world(tmp_path, HTTP) as far:
        far.send(TEXT)
        far.report(times=3)
        text = {"type": "text", "from": "+255100000001", "to": "15050", "text": "HELP"}
        answers = far.post(text, times=3)

        assert answers == [200] * 3
        assert texts_in(far) == ["HELP"]
        assert far.steps().count("receipt-delivered") == 1
