"""Far ends that leave, speak in the middle of our work, or have no room: everything goes on."""

from collections.abc import Mapping
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from threading import Thread

import pytest

from gateway_adapters.contract import HealthState
from service.messages.lifecycle import State
from service.records.traffic import InboundRow
from tests.gateways.far_ends import MODEM, SMPP, far_end
from tests.gateways.far_world import FarWorld, far_world, world_on
from tests.gateways.peers.driver import WAIT_S, Peer
from tests.gateways.smpp_line import say
from tests.world import OTHER_PHONE
from tests.world_looks import rows

Faults = Mapping[str, object]
THREE = ["Shamba A, lita 4.", "Shamba B, lita 2.", "Shamba C, lita 1."]


def texts_in(far: FarWorld) -> list[str]:
    """Return the texts from phones that the records hold."""
    return [row.text for row in rows(far.world, InboundRow)]


@pytest.mark.parametrize(
    ("leaving", "settings"),
    [
        pytest.param({"act": "unbind"}, {}, id="unbinds"),
        pytest.param({"act": "drop"}, {}, id="cuts"),
        pytest.param({"muteEnquire": True}, {"enquire_s": 0.1}, id="goes mute"),
    ],
)
def test_after_a_centre_has_left_texts_go_over_a_new_connection(
    tmp_path: Path, leaving: Faults, settings: Faults
) -> None:
    """F20, C15: bound again by itself; what was sent before and after is there once."""
    with far_world(tmp_path, SMPP, None, **settings) as far:
        far.send(THREE[0])
        far.hear_all(State.DELIVERED)
        far.peer.tell(**leaving)
        far.peer.wait_for("bind", count=2)
        far.peer.tell(muteEnquire=False)
        far.queue(*THREE[1:])
        while State.QUEUED in far.states():  # while there is no connection texts wait
            far.later(seconds=61)
            far.step()
        far.hear_all(State.DELIVERED)
        far.gateway.close(drain_s=5)

        assert far.arrived() == THREE


def test_a_modem_that_was_pulled_out_gets_what_waited(tmp_path: Path) -> None:
    """F20, C15: while it is away its route rests and texts wait; plugged in, each goes once."""
    way = tmp_path / "modem"
    with ExitStack() as pulled:
        first = pulled.enter_context(far_end(MODEM))
        way.symlink_to(str(first.settings["port"]))
        far = replace(first, settings={**first.settings, "port": str(way)})
        with world_on(tmp_path, far) as there:
            there.send(THREE[0])
            there.hear_all(State.DELIVERED)
            before = there.arrived()
            pulled.close()
            there.hear(lambda: there.gateway.health().state is HealthState.DOWN)
            there.send(*THREE[1:])
            waiting, rested = there.states(), there.rests()
            with far_end(MODEM) as second:
                there.far = second
                way.unlink()
                way.symlink_to(str(second.settings["port"]))
                there.gateway.check(deadline=there.world.clock().replace(second=30))
                there.later(minutes=5)
                there.step()
                there.hear_all(State.DELIVERED)

                assert before == THREE[:1]
                assert waiting == [State.DELIVERED, State.QUEUED, State.QUEUED]
                assert rested
                assert there.arrived() == THREE[1:]


def test_a_centre_may_ask_and_a_phone_may_write_while_the_window_is_full(tmp_path: Path) -> None:
    """F21: its question is answered and the text stored, though three texts have no answer yet."""
    with far_world(tmp_path, SMPP, {"lateMs": 300}, window=1) as far:
        far.queue(*THREE)
        sending = Thread(target=far.dispatch, daemon=True)
        sending.start()
        far.peer.wait_for("submit")
        far.peer.tell(act="enquire")
        say(far.peer, OTHER_PHONE, "A3")
        far.peer.wait_for("enquire_link_resp")
        asked_at = position(far.peer, "enquire_link_resp")
        far.hear(lambda: texts_in(far) == ["A3"])
        sending.join(WAIT_S)
        far.peer.wait_for("submit", count=3)
        last_at = max(place for place, item in enumerate(far.peer.said) if is_submit(item))
        far.hear(lambda: set(far.states()[:3]) == {State.DELIVERED})

        assert asked_at < last_at
        assert far.arrived() == THREE


def is_submit(item: Mapping[str, object]) -> bool:
    """Say whether the far end told of a text that it took."""
    return item.get("event") == "submit"


def position(peer: Peer, event: str) -> int:
    """Return how many things a far end had said before the first of a kind."""
    return next(place for place, item in enumerate(peer.said) if item.get("event") == event)


def test_a_notice_between_a_text_and_its_answer_is_not_lost(tmp_path: Path) -> None:
    """F21: the modem announces a text before it answers ours; both are handled."""
    with far_world(tmp_path, MODEM, {"urc_next": 1}) as far:
        far.send(THREE[0])
        far.hear(lambda: texts_in(far) == ["A3"])
        far.hear(lambda: far.states()[0] is State.DELIVERED)

        assert far.arrived()[:1] == THREE[:1]


def test_a_full_sim_is_read_and_freed_and_the_next_text_arrives(tmp_path: Path) -> None:
    """F22: room for one text: the network keeps the second until the first is stored by us."""
    with far_world(tmp_path, MODEM, {"capacity": 1}) as far:
        far.gateway.check(deadline=far.world.clock().replace(second=30))
        far.say("A1")
        far.say("A2")
        refused = far.peer.wait_for("refused_full")
        far.hear(lambda: texts_in(far) == ["A1"])
        far.hear(lambda: stored_on_sim(far) == 0)
        far.say("A2")
        far.hear(lambda: texts_in(far) == ["A1", "A2"])
        far.hear(lambda: stored_on_sim(far) == 0)

        assert len(refused) == 1


def stored_on_sim(far: FarWorld) -> object:
    """Return how many texts lie on the modem's SIM."""
    before = len(far.peer.heard("count"))
    far.peer.tell(act="count")
    return far.peer.wait_for("count", count=before + 1)[-1]["stored"]
