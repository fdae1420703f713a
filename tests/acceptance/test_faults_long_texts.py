"""A long text of which one part is refused: the same parts again, then a doubt, never a second."""

from pathlib import Path
from threading import Thread

import pytest

from service.messages.lifecycle import State
from tests.gateways.far_ends import MODEM, SMPP
from tests.gateways.far_world import far_world
from tests.gateways.peers.driver import WAIT_S
from tests.gateways.serial_modem_line import sent_pdus

LONG = "Kesho: shamba A, lita 4. " * 16  # 400 septets, three parts


@pytest.mark.parametrize(
    ("refusals", "state", "parts"),
    [
        pytest.param(2, State.SUBMITTED, ["01", "02", "03"], id="twice"),
        pytest.param(4, State.UNKNOWN, ["01", "03"], id="again and again"),
    ],
)
def test_a_refused_part_is_tried_with_its_reference_and_then_is_a_doubt(
    tmp_path: Path, refusals: int, state: State, parts: list[str]
) -> None:
    """F16, C7: part 2 is refused twice and then taken, or four times and then left."""
    quiet = {"lateMs": 100, "receipt": "none"}
    with far_world(tmp_path, SMPP, quiet, window=1) as far:
        far.queue(LONG)
        sending = Thread(target=far.dispatch, daemon=True)
        sending.start()
        far.peer.wait_for("submit")
        far.peer.tell(rejectNext=refusals)
        sending.join(WAIT_S)
        far.later(hours=1)
        far.step()
        far.peer.tell(act="count")
        headers = [str(item["udh"]) for item in far.peer.heard("submit")]

        assert far.states() == [state]
        assert len(far.peer.heard("refused")) == refusals
        assert [header[-2:] for header in headers] == parts
        assert len({header[:-2] for header in headers}) == 1
        assert far.arrived() == ([LONG] if state is State.SUBMITTED else [])


def test_a_modem_that_refuses_the_second_part_leaves_a_doubt(tmp_path: Path) -> None:
    """F16, C4: part 1 is out, so the text is unknown and is not begun again."""
    refusing = {"fail_from_part": 2, "cms_code": 42}
    with far_world(tmp_path, MODEM, refusing) as far:
        far.send(LONG)
        far.peer.tell(fail_from_part=0)
        far.later(hours=1)
        far.step()
        parts = [sent.part and sent.part[1:] for sent in sent_pdus(far.peer)]

        assert far.states() == [State.UNKNOWN]
        assert parts == [(1, 3)]
