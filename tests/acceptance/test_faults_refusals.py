"""Gateways that refuse: for now, for good, one text or the whole route. Nothing is lost by it."""

from collections.abc import Mapping
from pathlib import Path

import pytest

from service.messages.lifecycle import State
from tests.gateways.far_ends import HTTP, MODEM, SMPP, far_end
from tests.gateways.far_world import FarWorld, far_world, world_on

Faults = Mapping[str, object]
THREE = ["Shamba A, lita 4.", "Shamba B, lita 2.", "Shamba C, lita 1."]


def send_what_waits(far: FarWorld) -> None:
    """Step on, past one pause after another, until nothing waits any more."""
    for _ in range(40):
        if State.QUEUED not in far.states():
            return
        far.later(seconds=61)
        far.step()
    pytest.fail(f"still waiting: {far.states()}")


@pytest.mark.parametrize(
    ("make", "settings", "wrong", "right"),
    [
        pytest.param(SMPP, {}, {"bindStatus": 0x0E}, {"bindStatus": 0}, id="smpp, password"),
        pytest.param(MODEM, {"prompt_s": 0.3}, {"no_prompt_next": 1}, {}, id="modem, no prompt"),
        pytest.param(MODEM, {}, {"sim": "ABSENT"}, {"sim": "READY"}, id="modem, no SIM"),
        pytest.param(
            HTTP, {}, {"key": "another"}, {"key": "another invented secret"}, id="http, 401"
        ),
    ],
)
def test_who_is_not_let_in_keeps_every_text(
    tmp_path: Path, make: str, settings: Faults, wrong: Faults, right: Faults
) -> None:
    """F4, C5: the route rests, all stay queued, none is there; once let in, each goes once."""
    with far_world(tmp_path, make, wrong, **settings) as far:
        far.send(*THREE)
        refused, rested, none_yet = far.states(), far.rests(), far.arrived()
        far.peer.tell(**right)
        far.later(seconds=301)
        far.gateway.check(deadline=far.world.clock().replace(second=40))
        send_what_waits(far)

        assert refused == [State.QUEUED] * 3
        assert rested
        assert none_yet == []
        assert far.arrived() == THREE
        assert {row.tries for row in far.messages()} == {0}


@pytest.mark.parametrize("make", [SMPP, HTTP, MODEM])
def test_where_nobody_listens_every_text_stays_queued(tmp_path: Path, make: str) -> None:
    """F4, C5: the far end is gone: the route rests, nothing is lost or used up."""
    with far_end(make) as far:
        pass
    with world_on(tmp_path, far) as there:
        there.send(*THREE)

        assert there.states() == [State.QUEUED] * 3
        assert there.rests()
        assert {row.tries for row in there.messages()} == {0}


@pytest.mark.parametrize(
    ("make", "faults", "settings"),
    [
        pytest.param(SMPP, {"throttleNext": 2}, {"window": 1}, id="smpp, throttled"),
        pytest.param(SMPP, {"queueFullNext": 2}, {"window": 1}, id="smpp, queue full"),
        pytest.param(SMPP, {"maxWindow": 1, "lateMs": 50}, {"window": 3}, id="smpp, window"),
        pytest.param(MODEM, {"cms_next": 2, "cms_code": 42}, {}, id="modem, congestion"),
        pytest.param(HTTP, {"statusNext": 2, "status": 429, "retryAfter": "1"}, {}, id="http, 429"),
        pytest.param(HTTP, {"statusNext": 2, "status": 503}, {}, id="http, 503"),
    ],
)
def test_a_full_gateway_gets_everything_slower(
    tmp_path: Path, make: str, faults: Faults, settings: Faults
) -> None:
    """F5, C12: asked to go slower we rest, and in the end each text goes once, no try used up."""
    with far_world(tmp_path, make, faults, **settings) as far:
        far.send(*THREE)
        waiting, rested = far.states().count(State.QUEUED), far.rests()
        send_what_waits(far)
        far.send("Shamba D.")

        assert waiting >= 1
        assert rested
        assert sorted(far.arrived()) == [*THREE, "Shamba D."]
        assert {row.tries for row in far.messages()} == {0}
        assert not far.rests()


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"rejectNext": 1, "rejectStatus": 0x0B, "receipt": "none"}, id="smpp"),
        pytest.param(MODEM, {"cms_next": 1, "cms_code": 1, "report": "none"}, id="modem"),
        pytest.param(HTTP, {"errorIn200Next": 1}, id="http, error in 200"),
        pytest.param(HTTP, {"statusNext": 1, "status": 400}, id="http, 400"),
    ],
)
def test_a_number_refused_for_good_fails_once(tmp_path: Path, make: str, faults: Faults) -> None:
    """F6, C2: the text fails and is not tried again; it holds up no other."""
    codes = {name: {"kind": "permanent"} for name in ("number refused", "as asked")}
    settings = {"errors": {"pointer": "/error", "codes": codes}} if make == HTTP else {"window": 1}
    with far_world(tmp_path, make, faults, **({} if make == MODEM else settings)) as far:
        far.send(*THREE)
        far.later(hours=1)
        far.step()

        assert far.states() == [State.FAILED, State.SUBMITTED, State.SUBMITTED]
        assert far.steps() == ["claim", "reject"]
        assert far.arrived() == THREE[1:]


@pytest.mark.parametrize(
    ("make", "wrong", "right"),
    [
        pytest.param(SMPP, {"rejectNext": 99, "rejectStatus": 0x0A}, {"rejectNext": 0}, id="smpp"),
        pytest.param(MODEM, {"cms_next": 99, "cms_code": 50}, {"cms_next": 0}, id="modem"),
        pytest.param(HTTP, {"statusNext": 99, "status": 403}, {"statusNext": 0}, id="http"),
    ],
)
def test_a_refused_sender_rests_the_route_and_fails_nothing(
    tmp_path: Path, make: str, wrong: Faults, right: Faults
) -> None:
    """F7: hours of refusals leave every text queued; once the sender is allowed each goes once."""
    with far_world(tmp_path, make, wrong) as far:
        far.send(*THREE)
        first, rested = far.states(), far.rests()
        for _ in range(6):
            far.later(minutes=31)
            far.step()
        hours_later = far.states()
        far.peer.tell(**right)
        far.later(minutes=31)
        send_what_waits(far)

        assert first == hours_later == [State.QUEUED] * 3
        assert rested
        assert far.arrived() == THREE
        assert {row.tries for row in far.messages()} == {0}
