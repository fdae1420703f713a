"""Which step of a session waits for its screen."""

import pytest

from gateway_adapters.events import UssdBegin, UssdEnd, UssdEndReason, UssdInput
from gateway_adapters.http_form.sessions import MOST_SESSIONS, Sessions
from tests.outgoing import PHONE


def _begin(event_id: str, session: str = "s") -> UssdBegin:
    return UssdBegin(event_id=event_id, session=session, phone=PHONE, code="*150#")


def _input(event_id: str, session: str = "s") -> UssdInput:
    return UssdInput(event_id=event_id, session=session, phone=PHONE, text="1")


@pytest.fixture
def sessions() -> Sessions:
    return Sessions()


def test_each_step_is_answered_once(sessions: Sessions) -> None:
    answers = []
    for event in (_begin("1"), _input("2"), _input("3")):
        sessions.note(event)
        answers += [sessions.answer("s"), sessions.answer("s")]

    assert answers == [True, False] * 3


def test_a_step_that_comes_again_does_not_wait_again(sessions: Sessions) -> None:
    sessions.note(_begin("1"))
    assert sessions.answer("s")
    sessions.note(_begin("1"))

    assert not sessions.answer("s")


def test_a_step_replayed_after_the_next_one_does_not_wait_again(sessions: Sessions) -> None:
    for event_id in ("1", "2"):
        sessions.note(_input(event_id))
        assert sessions.answer("s")
    sessions.note(_input("1"))

    assert not sessions.answer("s")


def test_a_session_that_ended_is_gone(sessions: Sessions) -> None:
    sessions.note(_begin("1"))
    sessions.note(UssdEnd(event_id="2", session="s", phone=PHONE, reason=UssdEndReason.USER))

    assert not sessions.answer("s")
    assert not sessions.answer("nobody's")


def test_sessions_do_not_know_each_other(sessions: Sessions) -> None:
    sessions.note(_begin("1", "a"))
    sessions.note(_begin("2", "b"))

    assert sessions.answer("b")
    assert sessions.answer("a")


def test_the_oldest_of_too_many_sessions_is_forgotten(sessions: Sessions) -> None:
    for number in range(MOST_SESSIONS + 1):
        sessions.note(_begin(f"e{number}", f"s{number}"))

    assert not sessions.answer("s0")
    assert sessions.answer("s1")
    assert sessions.answer(f"s{MOST_SESSIONS}")
