"""Closing in the middle of work: in time, every text accounted for, nothing left behind."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from threading import Thread, active_count
from time import monotonic

import pytest

from gateway_adapters.contract import Ambiguous, Outcome, Rejected
from tests.gateways.far_ends import HTTP, MODEM, SMPP, far_end
from tests.gateways.peers.driver import WAIT_S
from tests.outgoing import HALF_MINUTE_LATER, OTHER_PHONE, StoppedClock, an_outgoing

DESCRIPTORS = Path("/proc/self/fd")
DRAIN_S = 0.5
BUSY_S = 1.0  # what a busy machine may take beyond it


@contextmanager
def everything_given_back() -> Iterator[None]:
    """Fail if a thread or a descriptor is left over from a block."""
    before = active_count(), len(list(DESCRIPTORS.iterdir()))
    yield
    assert (active_count(), len(list(DESCRIPTORS.iterdir()))) == before


@pytest.mark.skipif(not DESCRIPTORS.is_dir(), reason="only Linux lists them there")
@pytest.mark.parametrize(
    ("make", "faults", "settings"),
    [
        pytest.param(SMPP, {"silentNext": 9, "receipt": "none"}, {"window": 1}, id="smpp"),
        pytest.param(MODEM, {"silent_next": 9, "report": "none"}, {}, id="modem"),
        pytest.param(HTTP, {"silentNext": 9}, {"window": 1}, id="http"),
    ],
)
def test_closing_a_mute_gateway_leaves_a_doubt_and_gives_everything_back(
    make: str, faults: Mapping[str, object], settings: Mapping[str, object]
) -> None:
    """C14, C5: one text without an answer is in doubt, the one behind it has not left."""
    with far_end(make, faults, **settings) as far, everything_given_back():
        gateway = far.open(StoppedClock())
        outcomes: list[Outcome] = []
        batch = [an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE)]
        sending = Thread(
            target=lambda: outcomes.extend(gateway.submit(batch, deadline=HALF_MINUTE_LATER)),
            daemon=True,
        )
        sending.start()
        far.peer.wait_for("sent" if make == MODEM else "submit")
        began = monotonic()
        gateway.close(drain_s=DRAIN_S)
        took_s = monotonic() - began
        sending.join(WAIT_S)

        assert [type(outcome) for outcome in outcomes] == [Ambiguous, Rejected]
        assert took_s < DRAIN_S * 1.1 + 0.2 + BUSY_S
        assert len(far.arrived()) == 1
