"""Pretend handsets: one session at a time, and only what is shown can be answered."""

from pathlib import Path

import pytest

from gateway_adapters.events import Screen, UssdBegin, UssdEnd, UssdEndReason, UssdInput
from gateway_adapters.fake import FakeGateway
from tests.outgoing import OTHER_PHONE, PHONE, StoppedClock

SCREEN = Screen(text="1 Plots", finish=False)


@pytest.fixture(params=["memory", "folder"])
def gateway(request: pytest.FixtureRequest, tmp_path: Path) -> FakeGateway:
    """A fake gateway of either kind."""
    folder = None if request.param == "memory" else tmp_path / "network"
    return FakeGateway(clock=StoppedClock(), folder=folder)


def test_dialling_again_ends_the_session_before(gateway: FakeGateway) -> None:
    first = gateway.handsets.dial(PHONE)
    second = gateway.handsets.dial(PHONE)

    events = gateway.receive(wait_s=0.0, limit=10)

    assert [type(event) for event in events] == [UssdBegin, UssdEnd, UssdBegin]
    assert len({event.event_id for event in events}) == 3
    assert first.session != second.session
    assert gateway.answer_ussd(first.session, SCREEN).gone


def test_each_handset_has_its_own_session(gateway: FakeGateway) -> None:
    first, second = gateway.handsets.dial(PHONE), gateway.handsets.dial(OTHER_PHONE)

    gateway.answer_ussd(second.session, SCREEN)

    assert gateway.handsets.screen(PHONE) is None
    assert gateway.handsets.screen(OTHER_PHONE) == SCREEN
    assert first.session != second.session


def test_nothing_can_be_typed_before_a_screen_or_after_the_end(gateway: FakeGateway) -> None:
    with pytest.raises(LookupError, match="shows no screen"):
        gateway.handsets.press(PHONE, "1")
    begin = gateway.handsets.dial(PHONE)
    with pytest.raises(LookupError, match="shows no screen"):
        gateway.handsets.press(PHONE, "1")
    gateway.answer_ussd(begin.session, Screen(text="Bye.", finish=True))
    with pytest.raises(LookupError, match="shows no screen"):
        gateway.handsets.press(PHONE, "1")


def test_what_is_typed_waits_for_its_screen(gateway: FakeGateway) -> None:
    begin = gateway.handsets.dial(PHONE)
    gateway.answer_ussd(begin.session, SCREEN)

    typed = gateway.handsets.press(PHONE, "1")

    assert isinstance(typed, UssdInput)
    dialled = gateway.handsets.on(PHONE)
    assert dialled is not None
    assert dialled.waiting
    assert dialled.screens == (SCREEN,)


def test_hanging_up_without_a_session_does_nothing(gateway: FakeGateway) -> None:
    gateway.handsets.hang_up(PHONE)

    assert gateway.receive(wait_s=0.0, limit=10) == []
    assert gateway.handsets.on(PHONE) is None


def test_another_process_on_the_folder_sees_the_same(tmp_path: Path) -> None:
    one = FakeGateway(clock=StoppedClock(), folder=tmp_path)
    two = FakeGateway(clock=StoppedClock(), folder=tmp_path)
    begin = one.handsets.dial(PHONE, text="1", session="chosen")
    one.answer_ussd(begin.session, SCREEN)
    one.handsets.press(PHONE, "2")
    one.handsets.hang_up(PHONE, reason=UssdEndReason.TIMEOUT)

    assert two.handsets.on(PHONE) == one.handsets.on(PHONE)
    assert two.receive(wait_s=0.0, limit=10) == one.receive(wait_s=0.0, limit=10)
    assert begin.session == "chosen"


def test_a_folder_that_cannot_be_written_shows_nothing(tmp_path: Path) -> None:
    folder = tmp_path / "network"
    gateway = FakeGateway(clock=StoppedClock(), folder=folder)
    begin = gateway.handsets.dial(PHONE)
    journal = folder / "journal.jsonl"
    journal.rename(folder / "away")
    journal.mkdir()

    assert gateway.answer_ussd(begin.session, SCREEN).gone
