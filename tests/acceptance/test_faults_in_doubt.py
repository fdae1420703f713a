"""Texts of which a gateway gives no clear answer: once at the far end, never sent again."""

from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path
from time import monotonic

import pytest

from service.messages.lifecycle import State
from tests.gateways.far_ends import HTTP, IMPATIENT, MODEM, SMPP
from tests.gateways.far_world import FarWorld, far_world

Faults = Mapping[str, object]
HALF_A_MINUTE = timedelta(seconds=30)
RECORDS_S = 1.0  # our own part of a run, on a busy machine
TEXT, NEXT = "Kesho: shamba A, lita 4.", "Kesho: shamba B, lita 2."


def let_time_pass(far: FarWorld) -> None:
    """Let the service step on for an hour, past every wait after which it might send again."""
    for _ in range(6):
        far.later(minutes=10)
        far.step()


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"dropNext": 1, "receiptMs": 100}, id="smpp, cut"),
        pytest.param(MODEM, {"silent_next": 1, "report_ms": 900}, id="modem, mute"),
        pytest.param(HTTP, {"dropNext": 1}, id="http, cut"),
        pytest.param(HTTP, {"failAfterNext": 1}, id="http, 500"),
    ],
)
def test_a_text_taken_before_a_cut_is_unknown_until_its_receipt(
    tmp_path: Path, make: str, faults: Faults
) -> None:
    """F1, C4: taken, then cut: unknown, one text at the far end, delivered once it is reported."""
    with far_world(tmp_path, make, faults, **IMPATIENT[make]) as far:
        far.send(TEXT)
        doubt = far.states()
        far.hear_all(State.DELIVERED)
        let_time_pass(far)

        assert doubt == [State.UNKNOWN]
        assert far.steps() == ["claim", "lose", "accept", "receipt-delivered"]
        assert far.arrived() == [TEXT]


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"lostNext": 1}, id="smpp, cut"),
        pytest.param(MODEM, {"lost_next": 1}, id="modem, mute"),
        pytest.param(MODEM, {"reset_next": 1}, id="modem, reset"),
        pytest.param(HTTP, {"lostNext": 1}, id="http, cut"),
        pytest.param(HTTP, {"statusNext": 1, "status": 502}, id="http, 502"),
    ],
)
def test_a_text_lost_in_a_cut_is_unknown_and_not_sent_again(
    tmp_path: Path, make: str, faults: Faults
) -> None:
    """F2, C4: not taken, and we cannot tell: unknown for good, none is there, the next goes."""
    with far_world(tmp_path, make, faults, **IMPATIENT[make]) as far:
        far.send(TEXT)
        let_time_pass(far)
        lost = far.arrived()
        far.send(NEXT)
        if make == HTTP:
            far.report()
        far.hear(lambda: far.states()[1] is State.DELIVERED)

        assert lost == []
        assert far.states() == [State.UNKNOWN, State.DELIVERED]
        assert far.steps() == ["claim", "lose"]
        assert far.arrived() == [NEXT]


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"silentNext": 1, "receipt": "none"}, id="smpp"),
        pytest.param(MODEM, {"silent_next": 1, "report": "none"}, id="modem"),
        pytest.param(HTTP, {"silentNext": 1}, id="http"),
    ],
)
def test_silence_is_unknown_at_the_deadline_and_stays_so(
    tmp_path: Path, make: str, faults: Faults
) -> None:
    """F3, C3, C4: neither answer nor receipt: unknown when the time is over, and not sent again."""
    with far_world(tmp_path, make, faults) as far:
        far.queue(TEXT)
        far.gateway.check(deadline=far.world.clock() + HALF_A_MINUTE)
        began = monotonic()
        far.dispatch(left_s=0.5)
        took_s = monotonic() - began
        let_time_pass(far)

        assert took_s < 0.5 * 1.1 + 0.2 + RECORDS_S
        assert far.steps() == ["claim", "lose"]
        assert far.states() == [State.UNKNOWN]
        assert far.arrived() == [TEXT]


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"lateMs": 1_500, "receiptMs": 2_000}, id="smpp"),
        pytest.param(MODEM, {"answer_ms": 1_500, "report_ms": 200}, id="modem"),
        pytest.param(HTTP, {"slowMs": 1_500}, id="http"),
    ],
)
def test_a_late_answer_repairs_a_doubt(tmp_path: Path, make: str, faults: Faults) -> None:
    """F3, F8: the answer comes after the deadline: unknown, then submitted, then delivered."""
    with far_world(tmp_path, make, faults) as far:
        far.queue(TEXT)
        far.gateway.check(deadline=far.world.clock() + HALF_A_MINUTE)
        far.dispatch(left_s=0.5)
        doubt = far.states()
        far.hear(lambda: far.states() != [State.UNKNOWN])
        far.hear_all(State.DELIVERED)

        assert doubt == [State.UNKNOWN]
        # a receipt over HTTP names our text, and so says yes once more
        once = list(dict.fromkeys(far.steps()))
        assert once == ["claim", "lose", "accept", "receipt-delivered"]
        assert far.arrived() == [TEXT]


@pytest.mark.parametrize(
    ("make", "faults", "state"),
    [
        pytest.param(SMPP, {"emptyIdNext": 1, "receipt": "none"}, State.SUBMITTED, id="smpp"),
        pytest.param(HTTP, {"noIdNext": 1}, State.UNKNOWN, id="http, no id"),
        pytest.param(HTTP, {"badJsonNext": 1}, State.UNKNOWN, id="http, torn"),
    ],
)
def test_a_yes_without_an_id_is_never_sent_again(
    tmp_path: Path, make: str, faults: Faults, state: State
) -> None:
    """F15: SMPP says yes by its status alone, HTTP only with an id; one text at the far end."""
    with far_world(tmp_path, make, faults) as far:
        far.send(TEXT)
        let_time_pass(far)

        assert far.states() == [state]
        assert far.arrived() == [TEXT]
