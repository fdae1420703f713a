"""What the SMPP gateway says of a text, against what `smsc.js` really took.

Faults and expectations are those of our reference for gateways; the codes are of SMPP 3.4, 5.1.3.
"""

from threading import Thread

import pytest

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    HealthState,
    Outcome,
    Outgoing,
    Rejected,
    RejectKind,
    Scope,
)
from gateway_adapters.events import LateAnswer, Receipt, ReceiptState
from gateway_adapters.smpp.gateway import SmppGateway
from gateway_adapters.smpp.opening import open_smpp
from tests.gateways.peers.driver import WAIT_S, Peer, message_centre
from tests.gateways.smpp_line import (
    route,
    send,
    smpp_settings,
    taken,
    texts_of,
)
from tests.outgoing import (
    EVENING,
    HALF_MINUTE_LATER,
    OTHER_PHONE,
    PHONE,
    StoppedClock,
    an_outgoing,
)

LONG = "Kesho ni siku ya kumwagilia mahindi, shamba A. " * 8
NO_RECEIPTS = {"receipt": "none"}


def submits(peer: Peer) -> list[tuple[str, str]]:
    """Return what the centre took, once it has said all."""
    peer.tell(act="count")
    return texts_of(peer.heard("submit"))


def reject(kind: RejectKind, scope: Scope, code: str, outcome: object) -> bool:
    """Say whether an outcome is this refusal."""
    return isinstance(outcome, Rejected) and (outcome.kind, outcome.scope, outcome.code) == (
        kind,
        scope,
        code,
    )


def test_a_text_taken_before_a_cut_is_in_doubt_until_its_receipt_comes() -> None:
    """Fault: the centre takes the text and cuts the connection without an answer."""
    with route({"dropNext": 1, "receiptMs": 60}) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing())
        late, receipt = taken(gateway, 2)

        assert outcome == Ambiguous(reason="link-lost")
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert (late.token, late.gateway_ids) == ("m1", (receipt.gateway_id,))
        assert (receipt.to, receipt.state) == (PHONE, ReceiptState.DELIVERED)
        assert len(submits(peer)) == 1


def test_a_text_lost_in_a_cut_is_in_doubt_and_not_sent_again() -> None:
    """Fault: the connection is cut and the text not taken; we cannot tell."""
    with route({"lostNext": 1}) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing())
        (after,) = send(gateway, an_outgoing("m2", text="Siku nyingine."))

        assert outcome == Ambiguous(reason="link-lost")
        assert isinstance(after, Accepted)
        assert submits(peer) == [(PHONE, "Siku nyingine.")]


def test_silence_leaves_a_text_in_doubt_and_its_receipt_settles_it() -> None:
    """Fault: no answer, connection kept."""
    with route({"silentNext": 1}, answer_timeout_s=0.3) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing())
        late, receipt = taken(gateway, 2)

        assert outcome == Ambiguous(reason="no-answer")
        assert isinstance(late, LateAnswer)
        assert isinstance(receipt, Receipt)
        assert late.gateway_ids == (receipt.gateway_id,)
        assert len(submits(peer)) == 1


def test_an_answer_after_the_timeout_attaches() -> None:
    """Fault: the answer comes later than we wait."""
    with route({"lateMs": 300, **NO_RECEIPTS}, answer_timeout_s=0.1) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing())
        (late,) = taken(gateway, 1)

        assert outcome == Ambiguous(reason="no-answer")
        assert isinstance(late, LateAnswer)
        assert (late.token, late.gateway_ids) == ("m1", (str(peer.heard("submit")[0]["id"]),))


def test_the_deadline_ends_the_waiting_before_the_timeout() -> None:
    """Silence on a deadline half a second off; a slow centre must not hold the caller."""
    with route({"silentNext": 1, **NO_RECEIPTS}) as (peer, gateway):
        (outcome,) = gateway.submit([an_outgoing()], deadline=EVENING.replace(microsecond=500_000))

        assert outcome == Ambiguous(reason="no-answer")
        assert len(submits(peer)) == 1


def test_with_a_closed_port_nothing_is_sent_and_the_reason_is_told() -> None:
    """Fault: nobody listens."""
    with message_centre() as (_, port):
        pass
    gateway = open_smpp(smpp_settings(port, reconnect_s=60), StoppedClock())
    try:
        outcomes = send(gateway, an_outgoing("m1"), an_outgoing("m2"))

        assert all(
            reject(RejectKind.TRANSIENT, Scope.ROUTE, "not-sent", outcome) for outcome in outcomes
        )
        assert gateway.health().state is HealthState.DOWN
        assert gateway.health().reason == "Nobody listens at the gateway's address."
    finally:
        gateway.close(drain_s=0)


@pytest.mark.parametrize(
    ("refusing", "code"),
    [({"password": "another"}, "smpp-0E"), ({"bindStatus": 0x0F}, "smpp-0F")],
    ids=["wrong password", "unknown name"],
)
def test_a_refused_sign_in_pauses_the_route_and_is_not_tried_again_at_once(
    refusing: dict[str, object], code: str
) -> None:
    """Fault: 0E or 0F; every text stays queued, and the centre is left in peace."""
    with route(refusing) as (peer, gateway):
        outcomes = send(gateway, an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE))
        again = send(gateway, an_outgoing("m3"))

        for outcome in (*outcomes, *again):
            assert reject(RejectKind.PERMANENT, Scope.ROUTE, code, outcome)
            assert isinstance(outcome, Rejected)
            assert outcome.retry_after_s == 300
        assert len(peer.heard("bind")) == 1
        assert gateway.health().state is HealthState.DOWN
        assert submits(peer) == []


def test_a_corrected_password_is_tried_at_once_where_somebody_asks() -> None:
    """Five minutes are long for a person who has just mended the settings of the centre."""
    with route({"bindStatus": 0x0E}) as (peer, gateway):
        refused = gateway.check(deadline=HALF_MINUTE_LATER)
        peer.tell(bindStatus=0)
        let_in = gateway.check(deadline=HALF_MINUTE_LATER)

        assert refused.state is HealthState.DOWN
        assert let_in.state is HealthState.UP
        assert submits(peer) == []


@pytest.mark.parametrize(
    ("fullness", "scope", "code"),
    [
        ({"throttleNext": 1}, Scope.ROUTE, "smpp-58"),
        ({"queueFullNext": 1}, Scope.MESSAGE, "smpp-14"),
    ],
    ids=["throttled", "queue full"],
)
def test_a_full_centre_throttles_one_text_and_gets_the_others_slower(
    fullness: dict[str, object], scope: Scope, code: str
) -> None:
    """Faults 58 and 14."""
    with route({**fullness, **NO_RECEIPTS}, window=1) as (peer, gateway):
        first, *others = send(gateway, *(an_outgoing(f"m{n}", text=f"A{n}") for n in range(4)))

        assert reject(RejectKind.THROTTLED, scope, code, first)
        assert isinstance(first, Rejected)
        assert 0 < (first.retry_after_s or 0) <= 0.02
        assert all(isinstance(outcome, Accepted) for outcome in others)
        assert gateway.health().state is HealthState.DEGRADED
        assert submits(peer) == [(PHONE, f"A{n}") for n in (1, 2, 3)]


def test_what_would_wait_beyond_the_deadline_is_given_back_at_once() -> None:
    """Fault 58 with a pause of half a minute: nobody stands and waits for it."""
    with route({"throttleNext": 1, **NO_RECEIPTS}, window=1, throttle_s=60) as (peer, gateway):
        first, second = send(gateway, an_outgoing("m1"), an_outgoing("m2"))

        assert reject(RejectKind.THROTTLED, Scope.ROUTE, "smpp-58", first)
        assert reject(RejectKind.THROTTLED, Scope.ROUTE, "held-back", second)
        assert submits(peer) == []


def test_a_centre_with_a_smaller_window_gets_everything_in_the_end() -> None:
    """Fault: more than two unanswered texts are throttled; refused ones are submitted anew."""
    with route({"maxWindow": 2, **NO_RECEIPTS}, window=10) as (peer, gateway):
        waiting = {f"m{n}": an_outgoing(f"m{n}", text=f"A{n}") for n in range(12)}
        while waiting:
            outcomes = send(gateway, *waiting.values())
            for token, outcome in zip(list(waiting), outcomes, strict=True):
                if isinstance(outcome, Accepted):
                    del waiting[token]
                else:
                    assert isinstance(outcome, Rejected)
                    assert outcome.kind is RejectKind.THROTTLED

        assert sorted(submits(peer)) == sorted((PHONE, f"A{n}") for n in range(12))


@pytest.mark.parametrize(
    ("status", "kind", "scope"),
    [
        (0x0B, RejectKind.PERMANENT, Scope.MESSAGE),
        (0x0A, RejectKind.PERMANENT, Scope.ROUTE),
        (0x45, RejectKind.TRANSIENT, Scope.MESSAGE),
        (0x0401, RejectKind.TRANSIENT, Scope.MESSAGE),
    ],
    ids=["number", "sender", "submit failed", "vendor"],
)
def test_a_refusal_says_whom_it_concerns(status: int, kind: RejectKind, scope: Scope) -> None:
    """Fault: one submit is refused; the next is served."""
    with route({"rejectNext": 1, "rejectStatus": status, **NO_RECEIPTS}) as (peer, gateway):
        refused, served = send(gateway, an_outgoing("m1"), an_outgoing("m2", to=OTHER_PHONE))

        assert reject(kind, scope, f"smpp-{status:02X}", refused)
        assert isinstance(served, Accepted)
        assert [number for number, _ in submits(peer)] == [OTHER_PHONE]


def test_a_status_of_the_centres_own_is_read_by_the_routes_table() -> None:
    """Fault: a vendor's status that the route was told of."""
    with route(
        {"rejectNext": 1, "rejectStatus": 0x0401}, statuses={"0x0401": "permanent-message"}
    ) as (_, gateway):
        (refused,) = send(gateway, an_outgoing())

        assert reject(RejectKind.PERMANENT, Scope.MESSAGE, "smpp-401", refused)


def test_a_lost_sign_in_is_repeated() -> None:
    """Fault 04: the centre says that we are not bound; the next text goes over a new bind."""
    with route({"rejectNext": 1, "rejectStatus": 0x04, **NO_RECEIPTS}) as (peer, gateway):
        (refused,) = send(gateway, an_outgoing("m1"))
        (served,) = send(gateway, an_outgoing("m2"))

        assert reject(RejectKind.TRANSIENT, Scope.ROUTE, "smpp-04", refused)
        assert isinstance(served, Accepted)
        assert len(peer.heard("bind")) == 2


def test_a_text_taken_without_an_id_is_taken() -> None:
    """Fault: status 0, empty message_id."""
    with route({"emptyIdNext": 1, **NO_RECEIPTS}) as (peer, gateway):
        assert send(gateway, an_outgoing()) == [Accepted()]
        assert len(submits(peer)) == 1


@pytest.mark.parametrize("long", ["udh", "sar", "payload"])
def test_a_long_text_arrives_whole_in_each_form(long: str) -> None:
    """UDH and SAR give an id a part, the payload one for the whole."""
    with route(NO_RECEIPTS, long=long) as (peer, gateway):
        message = an_outgoing(text=LONG)
        (outcome,) = send(gateway, message)
        peer.tell(act="count")
        texts = [str(item["text"]) for item in peer.heard("submit")]

        assert isinstance(outcome, Accepted)
        assert len(outcome.gateway_ids) == len(texts)
        assert len(texts) == (1 if long == "payload" else len(message.segments.parts))
        assert "".join(texts) == LONG


@pytest.mark.parametrize("refusals", [1, 3])
def test_a_refused_part_is_tried_again_with_its_reference(refusals: int) -> None:
    """Fault: part 2 is refused up to three times, once part 1 is taken."""
    with route({"lateMs": 80, **NO_RECEIPTS}, window=1) as (peer, gateway):
        message = an_outgoing(text=LONG)
        outcomes = _while_part_one_waits(peer, gateway, message, refusals)
        headers = [str(item["udh"]) for item in peer.heard("submit")]

        assert isinstance(outcomes[0], Accepted)
        assert len(peer.heard("refused")) == refusals
        assert [header[-2:] for header in headers] == ["01", "02", "03"]
        assert len({header[:-2] for header in headers}) == 1
        assert submits(peer) == [(PHONE, LONG)]


def test_a_part_refused_for_good_leaves_the_text_in_doubt() -> None:
    """Fault: part 2 is refused again and again; the ids so far are told."""
    with route({"lateMs": 80, **NO_RECEIPTS}, window=1) as (peer, gateway):
        (outcome,) = _while_part_one_waits(peer, gateway, an_outgoing(text=LONG), 4)
        peer.tell(act="count")
        ids = tuple(str(item["id"]) for item in peer.heard("submit"))

        assert outcome == Ambiguous(reason="partial", gateway_ids=ids)
        assert len(ids) == 2
        assert len(peer.heard("refused")) == 4


def test_a_refused_first_part_keeps_the_others_back() -> None:
    """Fault: a long text to a number that is not served costs one refusal and no part."""
    with route({"rejectNext": 1}) as (peer, gateway):
        (outcome,) = send(gateway, an_outgoing(text=LONG))

        assert reject(RejectKind.PERMANENT, Scope.MESSAGE, "smpp-0B", outcome)
        assert len(peer.heard("refused")) == 1
        assert submits(peer) == []


def test_a_late_answer_to_a_part_makes_the_text_whole() -> None:
    """Fault: the answers to all parts but the first come late."""
    with route({"lateMs": 60, **NO_RECEIPTS}, answer_timeout_s=0.3) as (peer, gateway):
        message = an_outgoing(text=LONG)
        outcomes = _while_part_one_waits(peer, gateway, message, 0, lateMs=600)
        (late,) = taken(gateway, 1)
        ids = tuple(str(item["id"]) for item in peer.heard("submit"))

        assert outcomes == [Ambiguous(reason="partial", gateway_ids=ids[:1])]
        assert isinstance(late, LateAnswer)
        assert (late.token, late.gateway_ids) == ("m1", ids)


@pytest.mark.parametrize(("query_sender", "known"), [("15050", True), ("", False)])
def test_a_restarted_gateway_asks_only_where_it_knows_the_sender(
    query_sender: str,
    known: bool,  # noqa: FBT001 -- a row
) -> None:
    """query_sm needs the sender of the text (SMPP 3.4, 4.8.1), which a new process has not."""
    with message_centre(**NO_RECEIPTS) as (_, port):
        first = open_smpp(smpp_settings(port), StoppedClock())
        (outcome,) = send(first, an_outgoing())
        assert isinstance(outcome, Accepted)
        first.close(drain_s=1)
        second = open_smpp(smpp_settings(port, query_sender=query_sender), StoppedClock())
        receipt = second.query(outcome.gateway_ids[0], PHONE)
        second.close(drain_s=0)

    assert (receipt is not None) is known


def _while_part_one_waits(
    peer: Peer, gateway: SmppGateway, message: Outgoing, refusals: int, **changes: object
) -> list[Outcome]:
    """Submit, and change the centre between its taking of part 1 and its answer."""
    outcomes: list[Outcome] = []
    sending = Thread(target=lambda: outcomes.extend(send(gateway, message)), daemon=True)
    sending.start()
    peer.wait_for("submit")
    peer.tell(rejectNext=refusals, **changes)
    sending.join(WAIT_S)
    return outcomes
