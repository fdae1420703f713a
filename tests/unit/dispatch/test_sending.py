"""Claim, look once more, submit, settle; and what comes in is stored before it is acknowledged."""

from datetime import UTC, datetime

import pytest

from gateway_adapters.contract import Ambiguous, Rejected, RejectKind, Scope
from gateway_adapters.errors import GatewayClosedError
from gateway_adapters.events import Inbound
from gateway_adapters.fake_script import DuplicateReceipt, LateReceipt, NoAnswer, StrayReceipt
from service.dispatch.dispatcher import Lane
from service.dispatch.receiver import Receiver, Takers
from service.outbox.enqueue import enqueue
from service.records.engine import Session
from service.records.traffic import (
    ClaimRow,
    InboundRow,
    OrphanReceiptRow,
)
from tests.unit.dispatch.sending import at, due, lane, send
from tests.unit.outbox.queue import a_draft
from tests.world import PHONE, World, enrol
from tests.world_looks import messages, rows, states


def test_what_is_due_leaves_and_a_second_run_sends_nothing(world: World) -> None:
    due(world)

    sent = [send(world), send(world)]

    assert sent == [1, 0]
    assert states(world) == ["submitted"]
    assert len(world.bodies()) == 1


def test_a_text_leaves_as_written_to_its_number_under_its_token(world: World) -> None:
    due(world)

    send(world)

    (left,), (row,) = world.gateway.submitted(), messages(world)
    assert (left.to, left.text, left.token) == (PHONE, row.body, row.token)


def test_more_than_a_batch_leaves_in_one_run(world: World) -> None:
    enrol(world)
    at(world, "2027-03-14T18:00")
    route_id = lane(world).route_id
    with world.services.sessions.begin() as session:
        for number in range(120):
            draft = a_draft(
                f"x{number}",
                route_id=route_id,
                phone_id=None,
                kind="help",
                evening=None,
                due_at=world.clock(),
                expires_at=datetime(2027, 3, 14, 17, 0, tzinfo=UTC),
                fields={"values": {"phone": "+255100000090"}},
            )
            enqueue(session, 1, draft, now=world.clock())

    assert send(world) == 120


def test_a_lease_that_ran_out_before_the_send_leaves_the_text_unknown(world: World) -> None:
    """The worker slept for three minutes between claim and send, as a laptop does."""
    due(world)
    world.mark = lambda point: at(world, "2027-03-14T18:03") if point == "after-claim" else None

    sent = send(world)

    assert (sent, world.gateway.submitted()) == (0, [])
    assert (states(world), rows(world, ClaimRow)) == (["unknown"], [])


def test_a_worker_that_dies_after_the_send_leaves_the_text_unknown_and_never_resent(
    world: World,
) -> None:
    due(world)

    def die(point: str) -> None:
        if point == "after-submit":
            raise KeyboardInterrupt

    world.mark = die
    with pytest.raises(KeyboardInterrupt):
        send(world)
    world.mark = lambda _point: None
    at(world, "2027-03-14T18:02")
    send(world)

    assert states(world) == ["unknown"]
    assert len(world.gateway.submitted()) == 1


@pytest.mark.parametrize(
    "outcome",
    [Ambiguous(reason="silence"), NoAnswer(delivered=True), NoAnswer(delivered=False)],
    ids=["silence", "silence, delivered", "silence, lost"],
)
def test_a_text_without_a_clear_answer_is_not_sent_again(
    world: World, outcome: Ambiguous | NoAnswer
) -> None:
    due(world)
    world.gateway.script.append(outcome)

    for _ in range(3):
        send(world)

    assert len(world.gateway.submitted()) == 1
    assert states(world) == ["unknown"]


def test_a_refused_route_waits_and_then_sends(world: World) -> None:
    due(world)
    world.gateway.script.append(Rejected(kind=RejectKind.PERMANENT, scope=Scope.ROUTE))

    sent = [send(world), send(world)]
    at(world, "2027-03-14T18:01")
    sent.append(send(world))

    assert sent == [1, 0, 1]
    assert len(world.bodies()) == 1


def test_a_closed_gateway_is_a_fault_that_keeps_the_lease(world: World) -> None:
    due(world)
    world.gateway.close(drain_s=0)

    with pytest.raises(GatewayClosedError):
        send(world)

    assert (states(world), len(rows(world, ClaimRow))) == (["claimed"], 1)


def test_tidying_gives_up_what_has_run_out(world: World) -> None:
    due(world)
    at(world, "2027-03-14T20:00")

    world.services.dispatcher(lane(world)).tidy()

    assert states(world) == ["expired"]


def test_a_receipt_is_taken_in_once_even_if_it_comes_twice(world: World) -> None:
    due(world)
    world.gateway.script.append(DuplicateReceipt())
    send(world)

    seen = [world.services.receiver(lane(world)).run_once() for _ in range(2)]

    assert seen == [2, 0]
    assert states(world) == ["delivered"]


def test_a_stray_receipt_is_kept_and_the_right_one_counts(world: World) -> None:
    due(world)
    world.gateway.script.append(StrayReceipt())
    send(world)

    world.services.receiver(lane(world)).run_once()

    assert states(world) == ["delivered"]
    assert len(rows(world, OrphanReceiptRow)) == 1


def test_a_late_receipt_lifts_what_was_submitted(world: World) -> None:
    due(world)
    later = datetime(2027, 3, 14, 16, 0, tzinfo=UTC)
    world.gateway.script.append(LateReceipt(due_at=later))
    world.services.step()
    before = states(world)

    world.tick("2027-03-14T19:01")

    assert (before, states(world, "dose")) == (["submitted"], ["delivered"])


def test_an_event_whose_storing_failed_comes_again(world: World) -> None:
    enrol(world)
    world.gateway.answer(PHONE, "help")

    def broken(_session: Session, _lane: Lane, _event: Inbound) -> None:
        raise OSError("disk full")

    takers = Takers(on_text=broken, on_ussd=lambda *_: None)
    receiver = Receiver(world.services.sessions, lane(world), takers=takers, clock=world.clock)
    with pytest.raises(OSError, match="disk full"):
        receiver.run_once()
    world.gateway.nack(taken(world))
    world.services.step()

    assert [row.text for row in rows(world, InboundRow)] == ["help"]
    assert world.bodies()[-1].count("+255100000090") == 1


def taken(world: World) -> Inbound:
    """Return the event as the gateway gave it out."""
    return Inbound(
        event_id="in-1", sender=PHONE, to="15050", text="help", received_at=world.clock()
    )


def test_asked_to_end_it_gives_back_what_it_has_not_stored(world: World) -> None:
    for number in range(3):
        world.gateway.answer(PHONE, f"A{number}")
    enrol(world)
    seen: list[str] = []
    takers = Takers(
        on_text=lambda _session, _lane, event: seen.append(event.text),
        on_ussd=lambda *_: None,
    )

    def receiver(*, most: int) -> Receiver:
        return Receiver(
            world.services.sessions,
            lane(world),
            takers=takers,
            clock=world.clock,
            go_on=lambda: len(seen) < most,
        )

    receiver(most=1).run_once()
    receiver(most=10).run_once()

    assert seen == ["A0", "A1", "A2"]
