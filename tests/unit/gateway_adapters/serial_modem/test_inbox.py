"""Events between the SIM and the service: none lost, none deleted too early."""

from gateway_adapters.events import Inbound
from gateway_adapters.serial_modem.inbox import Inbox
from tests.outgoing import EVENING, PHONE


def text(event_id: str) -> Inbound:
    return Inbound(event_id=event_id, sender=PHONE, to="", text="A3", received_at=EVENING)


def taken(inbox: Inbox, limit: int = 100) -> list[str]:
    return [event.event_id for event in inbox.take(wait_s=0, limit=limit)]


def test_events_are_taken_once_and_in_order() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1), (text("b"), None), (text("c"), 2)])

    assert taken(inbox, 2) == ["a", "b"]
    assert taken(inbox) == ["c"]
    assert taken(inbox) == []


def test_only_an_acknowledged_text_is_deleted() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1), (text("b"), 2)])
    taken(inbox)

    assert inbox.to_delete() == []
    assert inbox.ack("b")
    assert inbox.to_delete() == [("b", 2)]
    inbox.deleted("b", 2)
    assert inbox.to_delete() == []


def test_acknowledging_twice_or_what_is_unknown_changes_nothing() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), None)])

    assert not inbox.ack("a")
    assert not inbox.ack("a")
    assert not inbox.ack("never seen")
    assert taken(inbox) == []


def test_what_is_given_back_comes_first_and_once() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1), (text("b"), 2)])
    taken(inbox, 1)
    inbox.give_back("a")
    inbox.give_back("a")
    inbox.give_back("never seen")

    assert taken(inbox) == ["a", "b"]


def test_the_same_text_at_two_places_is_one_event_and_both_are_deleted() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1)])
    inbox.put([(text("a"), 5)])

    assert taken(inbox) == ["a"]
    inbox.ack("a")
    assert sorted(inbox.to_delete()) == [("a", 1), ("a", 5)]


def test_reading_the_sim_again_brings_no_taken_event_back() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1)])
    taken(inbox)
    inbox.all_read([(text("a"), 1), (text("b"), 2)])

    assert taken(inbox) == ["b"]


def test_an_old_place_is_not_deleted_once_another_sim_is_in() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1), (text("b"), 2)])
    inbox.ack("a")
    inbox.all_read([(text("other"), 1)])
    inbox.ack("b")

    assert inbox.to_delete() == []
    assert taken(inbox) == ["other"]


def test_an_acknowledged_text_found_at_another_place_is_deleted_there() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1)])
    inbox.ack("a")
    inbox.all_read([(text("a"), 4)])

    assert inbox.to_delete() == [("a", 4)]
    assert taken(inbox) == []


def test_a_flood_of_reports_is_bounded_and_counted_and_texts_are_still_taken_in() -> None:
    inbox = Inbox()
    inbox.put((text(f"report {number}"), None) for number in range(10_005))
    inbox.put([(text("on the SIM"), 1)])

    assert inbox.lost == 5
    assert len(taken(inbox, 20_000)) == 10_001


def test_a_closed_inbox_lets_nobody_wait() -> None:
    inbox = Inbox()
    inbox.put([(text("a"), 1)])
    inbox.ack("a")
    inbox.close()

    inbox.wait_deleted("a", wait_s=60)
    inbox.wait_all_deleted(wait_s=60)
    assert inbox.take(wait_s=60, limit=1) == []
