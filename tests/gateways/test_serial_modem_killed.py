"""The process is killed between sending and storing: the text is not sent again by anything."""

import os
import signal
import subprocess
import sys
from pathlib import Path

from gateway_adapters.events import LateAnswer, Receipt
from tests.gateways.peers.driver import modem
from tests.gateways.serial_modem_line import (
    a_route,
    arrived,
    events_of,
    report_line,
    report_notice,
)
from tests.gateways.serial_modem_tap import tapped
from tests.outgoing import HALF_MINUTE_LATER, PHONE

PROGRAM = """
import sys
from tests.gateways.serial_modem_line import a_route
from tests.outgoing import HALF_MINUTE_LATER, an_outgoing

with a_route(sys.argv[1], folder=sys.argv[2]) as gateway:
    gateway.submit([an_outgoing("m9", text="A")], deadline=HALF_MINUTE_LATER)
"""
ROOT = Path(__file__).resolve().parents[2]


def test_a_process_killed_behind_the_text_leaves_one_text_and_the_next_repairs_it(
    tmp_path: Path,
) -> None:
    """Fault: killed between send and commit. The count at the peer is 1."""
    with modem(answer_ms=300, report="none") as (peer, device):
        process = subprocess.Popen(  # noqa: S603 -- our own program
            [sys.executable, "-c", PROGRAM, device, str(tmp_path)], cwd=ROOT
        )
        try:
            peer.wait_for("sent")
        finally:
            os.kill(process.pid, signal.SIGKILL)
            process.wait()
        peer.tell(answer_ms=0)
        with tapped(device) as tap, a_route(tap.device, folder=str(tmp_path)) as gateway:
            gateway.check(deadline=HALF_MINUTE_LATER)
            tap.say(report_notice(report_line(1)))
            late, receipt = events_of(gateway, 2)

        assert process.returncode == -signal.SIGKILL
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert (late.token, late.gateway_ids) == ("m9", (receipt.gateway_id,))
        assert arrived(peer) == [(PHONE, "A")]
