"""Receipts that are early, doubled, in disorder, of another form, or of no text of ours."""

from collections.abc import Mapping
from pathlib import Path
from threading import Thread

import pytest

from service.messages.lifecycle import State
from service.records.traffic import OrphanReceiptRow
from tests.gateways.far_ends import HTTP, MODEM, SMPP
from tests.gateways.far_world import FarWorld, far_world
from tests.gateways.peers.driver import WAIT_S
from tests.gateways.serial_modem_line import report_line, report_notice
from tests.world_looks import rows

Faults = Mapping[str, object]
NOT_OURS: dict[str, Faults] = {
    SMPP: {"receipt": "none"},
    MODEM: {"wrong_reference": True},
    HTTP: {},
}
THREE = ["Shamba A, lita 4.", "Shamba B, lita 2.", "Shamba C, lita 1."]


def orphans(far: FarWorld) -> list[OrphanReceiptRow]:
    """Return the receipts that are of no text known."""
    return rows(far.world, OrphanReceiptRow)


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"receiptFirst": True, "lateMs": 300}, id="smpp"),
        pytest.param(MODEM, {"report_ms": 0}, id="modem"),
        pytest.param(HTTP, {"slowMs": 500}, id="http"),
    ],
)
def test_a_receipt_before_the_answer_counts_once(tmp_path: Path, make: str, faults: Faults) -> None:
    """F9, C9: whichever is first, the text ends delivered, by one receipt, and is there once."""
    with far_world(tmp_path, make, faults) as far:
        far.queue(THREE[0])
        sending = Thread(target=far.dispatch, daemon=True)
        sending.start()
        far.peer.wait_for("sent" if make == MODEM else "submit")
        if make == HTTP:
            far.report(naming=("id", "to"))
        sending.join(WAIT_S)
        far.hear(lambda: far.states() == [State.DELIVERED])

        assert far.steps().count("receipt-delivered") == 1
        assert orphans(far) == []
        assert far.arrived() == THREE[:1]


@pytest.mark.parametrize(
    ("make", "faults", "many"),
    [
        pytest.param(SMPP, {"receiptTimes": 2}, 6, id="smpp, twice"),
        pytest.param(SMPP, {"receiptHold": 3}, 3, id="smpp, newest first"),
        pytest.param(MODEM, {"report_times": 2}, 0, id="modem, twice"),
        pytest.param(HTTP, {}, 0, id="http, twice"),
    ],
)
def test_doubled_and_disordered_receipts_count_once(
    tmp_path: Path, make: str, faults: Faults, many: int
) -> None:
    """F10, C8: each text is delivered by one step, and a receipt that comes again changes none."""
    with far_world(tmp_path, make, faults) as far:
        far.send(*THREE)
        if make == HTTP:
            far.report(times=2)
        far.hear(lambda: set(far.states()) == {State.DELIVERED})
        far.hear(lambda: len(far.peer.heard("deliver_sm_resp")) >= many)
        while far.take_in(wait_s=0.2):
            pass

        for place in range(3):
            assert far.steps(place).count("receipt-delivered") == 1
        assert orphans(far) == []
        assert far.arrived() == THREE


@pytest.mark.parametrize("make", [SMPP, MODEM, HTTP])
def test_a_receipt_for_an_unknown_id_is_kept_an_hour_and_filed(tmp_path: Path, make: str) -> None:
    """F11, C9: it is answered, touches no text, and waits an hour for an answer to belong to."""
    with far_world(tmp_path, make, NOT_OURS[make]) as far:
        far.send(THREE[0])
        answered: list[object] = [0]
        if make == SMPP:
            far.peer.tell(receipt="both")
            far.peer.tell(act="strayReceipt")
        if make == HTTP:
            answered = far.post(
                {"type": "receipt", "id": "7", "to": "+255100000001", "state": "done"}
            )
        far.hear(lambda: len(orphans(far)) == 1)
        if make == SMPP:
            answered = [item["status"] for item in far.peer.wait_for("deliver_sm_resp")]
        far.later(minutes=59)
        far.step()
        within = orphans(far)[0].filed
        far.later(minutes=2)
        far.step()

        assert answered in ([0], [200])
        assert (within, orphans(far)[0].filed) == (False, True)
        assert far.states() == [State.SUBMITTED]


@pytest.mark.parametrize("form", ["mixed", "padded", "decimal"])
def test_an_id_in_another_form_finds_its_text(tmp_path: Path, form: str) -> None:
    """F12: the receipt names the id in another base, or with noughts before it."""
    with far_world(tmp_path, SMPP, {"idForm": form}) as far:
        far.send(*THREE)
        far.hear_all(State.DELIVERED)

        assert orphans(far) == []
        assert far.arrived() == THREE


def test_an_id_that_is_a_number_finds_its_text(tmp_path: Path) -> None:
    """F12: the answer gave the id as a string, and the receipt gives it as a number."""
    with far_world(tmp_path, HTTP) as far:
        far.send(THREE[0])
        (message,) = far.peer.heard("submit")
        far.post(
            {"type": "receipt", "id": int(str(message["id"])), "to": message["to"], "state": "done"}
        )

        assert far.states() == [State.DELIVERED]


def test_a_receipt_that_fits_two_texts_is_given_to_none(tmp_path: Path) -> None:
    """F12: two texts to one phone are in doubt, and one report comes: both stay for a person."""
    doubtful = {"silent_next": 2, "report": "none"}
    with far_world(tmp_path, MODEM, doubtful, answer_s=0.3, late_s=0.05) as far:
        far.send(*THREE[:2])
        far.peer.tell(report="cds")
        far.peer.tell(act="raw", hex=report_notice(report_line(1)).hex())
        far.hear(lambda: len(orphans(far)) == 1)

        assert far.states() == [State.UNKNOWN] * 2
        assert far.arrived() == THREE[:2]


@pytest.mark.parametrize(
    ("make", "faults", "said", "state"),
    [
        pytest.param(SMPP, {"stat": "ENROUTE"}, "", State.SUBMITTED, id="smpp, on its way"),
        pytest.param(SMPP, {"interim": True}, "", State.DELIVERED, id="smpp, interim then end"),
        pytest.param(SMPP, {"stat": "UNDELIV", "err": "0A1"}, "", State.FAILED, id="smpp, failed"),
        pytest.param(SMPP, {"stat": "EXPIRED"}, "", State.EXPIRED, id="smpp, expired"),
        pytest.param(MODEM, {"report_status": 0x20}, "", State.SUBMITTED, id="modem, 20"),
        pytest.param(MODEM, {"report_status": 0x30}, "", State.SUBMITTED, id="modem, 30"),
        pytest.param(MODEM, {"report_status": 0x41}, "", State.FAILED, id="modem, 41"),
        pytest.param(MODEM, {"report_status": 0x46}, "", State.EXPIRED, id="modem, 46"),
        pytest.param(MODEM, {"report_status": 0x60}, "", State.FAILED, id="modem, 60"),
        pytest.param(HTTP, {}, "sent", State.SUBMITTED, id="http, on its way"),
        pytest.param(HTTP, {}, "no", State.FAILED, id="http, failed"),
        pytest.param(HTTP, {}, "old", State.EXPIRED, id="http, expired"),
    ],
)
def test_each_word_of_a_receipt_has_its_state(
    tmp_path: Path, make: str, faults: Faults, said: str, state: State
) -> None:
    """F13: SMPP 3.4, 5.2.28 and appendix B; TS 23.040, 9.2.3.15; the route's own table."""
    word = f"receipt-{state}"
    with far_world(tmp_path, make, faults) as far:
        far.send(THREE[0])
        if said:
            far.report(said)
        else:
            assert far.take_in(wait_s=WAIT_S) > 0
        far.hear(lambda: far.states() == [state])

        assert far.states() == [state]
        assert word in far.steps() or state is State.SUBMITTED
        assert far.arrived() == THREE[:1]


@pytest.mark.parametrize(
    ("make", "faults"),
    [
        pytest.param(SMPP, {"receipt": "tlv"}, id="smpp, parameter"),
        pytest.param(SMPP, {"receipt": "text"}, id="smpp, text"),
        pytest.param(MODEM, {"report": "cds"}, id="modem, at once"),
        pytest.param(MODEM, {"report": "cdsi"}, id="modem, stored"),
    ],
)
def test_a_receipt_counts_by_whatever_way_it_comes(
    tmp_path: Path, make: str, faults: Faults
) -> None:
    """F14: as a parameter or a text, handed on or stored on the SIM: the same end."""
    with far_world(tmp_path, make, faults) as far:
        far.send(*THREE)
        far.hear_all(State.DELIVERED)

        assert [far.steps(place) for place in range(3)] == [
            ["claim", "accept", "receipt-delivered"]
        ] * 3
        assert far.arrived() == THREE
