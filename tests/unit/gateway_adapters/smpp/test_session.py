"""A connection's conversation, octets in and octets out, without a socket."""

from dataclasses import dataclass, field

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gateway_adapters.contract import Ambiguous
from gateway_adapters.smpp.codec import Bind, write_plain
from gateway_adapters.smpp.commands import Command, Status
from gateway_adapters.smpp.jobs import Call, Job
from gateway_adapters.smpp.layout import HEADER
from gateway_adapters.smpp.outgoing import Outgoings
from gateway_adapters.smpp.session import Session
from gateway_adapters.smpp.settings import read_settings
from gateway_adapters.smpp.traffic import Traffic
from tests.outgoing import EVENING, StoppedClock, an_outgoing

SETTINGS = read_settings(
    {"host": "127.0.0.1", "port": 1, "system_id": "grower", "rate_per_s": 1000}
)
BOUND = HEADER.pack(16, Command.BIND_TRANSCEIVER_RESP, 0, 1)


@dataclass(slots=True)
class Talk:
    """A session at second 0 and what it shares."""

    traffic: Traffic
    session: Session
    bound: list[bool] = field(default_factory=list)

    def written(self) -> list[tuple[int, int, int]]:
        """Take what is to be written: command, status, sequence of each PDU."""
        octets, pdus = self.session.outgoing.octets(), []
        self.session.outgoing.left(len(octets))
        while octets:
            length, *header = HEADER.unpack_from(octets)
            pdus.append((header[0], header[1], header[2]))
            octets = octets[length:]
        return pdus

    def send(self, *texts: str) -> list[Job]:
        """Queue texts."""
        outgoings, call = Outgoings(SETTINGS, start=lambda: 0), Call()
        made = [
            outgoings.job(an_outgoing(text, text=text), call, at=EVENING, now=0) for text in texts
        ]
        jobs = [job for job in made if isinstance(job, Job)]
        with self.traffic.lock:
            self.traffic.send(call, jobs)
        return jobs


def a_talk(command: Command = Command.BIND_TRANSCEIVER) -> Talk:
    """Return a session that has just been connected."""
    traffic = Traffic(SETTINGS, StoppedClock(), roll=lambda: 0.0, now=0.0)
    bound: list[bool] = []
    session = Session(
        Bind(command=command, system_id="grower", password=""),
        traffic,
        now=0.0,
        on_bound=lambda: bound.append(True),
    )
    traffic.lock.acquire()  # the tests are the only thread
    return Talk(traffic=traffic, session=session, bound=bound)


def a_bound_talk() -> Talk:
    """Return a session that the centre has let in."""
    talk = a_talk()
    talk.written()
    talk.session.octets(BOUND, 0.0)
    return talk


def test_the_answer_to_the_bind_is_known_by_its_number() -> None:
    """Other PDUs that come before it are not taken for it."""
    talk = a_talk()
    for before in (
        HEADER.pack(16, Command.BIND_TRANSCEIVER_RESP, 0, 9),
        HEADER.pack(16, Command.ENQUIRE_LINK_RESP, 0, 1),
        HEADER.pack(16, Command.ENQUIRE_LINK, 0, 4),
    ):
        talk.session.octets(before, 0.0)
        assert not talk.session.bound
    talk.session.octets(BOUND, 0.0)

    assert talk.session.bound
    assert talk.bound == [True]
    assert talk.written() == [
        (Command.BIND_TRANSCEIVER, 0, 1),
        (Command.ENQUIRE_LINK_RESP, 0, 4),
    ]


@pytest.mark.parametrize("refusal", [Command.BIND_TRANSCEIVER_RESP, Command.GENERIC_NACK])
def test_a_refused_bind_is_over_at_once(refusal: Command) -> None:
    talk = a_talk()
    talk.session.octets(HEADER.pack(16, refusal, 0x0E, 1), 0.0)

    assert talk.session.over == "The gateway refused the sign-in."
    assert talk.session.bind_status == Status.BAD_PASSWORD


def test_a_bind_without_an_answer_is_over_after_ten_seconds() -> None:
    talk = a_talk()
    talk.session.tick(9.9)
    before = talk.session.over
    talk.session.tick(10.0)

    assert before is None
    assert talk.session.over == "The gateway did not answer in time."


def test_nothing_is_submitted_before_the_bind_nor_by_a_receiver() -> None:
    talk = a_talk()
    talk.send("A0")
    talk.session.tick(0.1)
    unbound = talk.written()
    receiver = a_talk(Command.BIND_RECEIVER)
    receiver.session.octets(HEADER.pack(16, Command.BIND_RECEIVER_RESP, 0, 1), 0.0)
    receiver.send("A0")
    receiver.session.tick(0.1)

    assert unbound == [(Command.BIND_TRANSCEIVER, 0, 1)]
    assert receiver.written() == [(Command.BIND_RECEIVER, 0, 1)]


def test_an_unknown_question_is_refused_and_an_unknown_answer_passed_over() -> None:
    talk = a_bound_talk()
    talk.session.octets(HEADER.pack(16, 0x777, 0, 5) + HEADER.pack(16, 0x80000777, 0, 6), 0.0)

    assert talk.written() == [(Command.GENERIC_NACK, Status.BAD_COMMAND, 5)]
    assert talk.session.over is None


def test_an_unreadable_delivery_is_refused_for_good_and_not_left_without_answer() -> None:
    talk = a_bound_talk()
    talk.session.octets(HEADER.pack(16, Command.DELIVER_SM, 0, 5), 0.0)

    assert talk.written() == [(Command.DELIVER_SM_RESP, Status.NEVER, 5)]


def test_an_unbind_is_answered_and_stops_the_submits() -> None:
    talk = a_bound_talk()
    talk.session.octets(write_plain(Command.UNBIND, sequence=3), 0.0)
    talk.send("A0")
    talk.session.tick(0.1)
    written = talk.written()
    talk.session.tick(0.2)

    assert written == [(Command.UNBIND_RESP, 0, 3)]
    assert talk.session.over == "The gateway closed the connection."


def test_submits_of_which_no_octet_has_left_wait_for_the_next_connection() -> None:
    """The first has left whole, the second in part, the third not at all."""
    talk = a_bound_talk()
    jobs = talk.send("A0", "A1", "A2")
    talk.session.tick(0.1)
    first = HEADER.unpack_from(talk.session.outgoing.octets())[0]
    talk.session.outgoing.left(first + 1)
    talk.session.end("cut")
    talk.traffic.broke()

    assert [job.outcome for job in jobs] == [
        Ambiguous(reason="link-lost"),
        Ambiguous(reason="link-lost"),
        None,
    ]
    assert talk.traffic.desk.has_room


def test_a_session_that_is_over_says_nothing_more() -> None:
    talk = a_bound_talk()
    talk.session.end("cut")
    question = talk.session.ask_link()
    talk.session.octets(write_plain(Command.ENQUIRE_LINK, sequence=3), 0.0)
    talk.session.tick(100.0)

    assert question.done
    assert question.answer is None
    assert talk.written() == []


@given(st.lists(st.binary(max_size=120), max_size=6), st.sampled_from(list(Command)))
def test_noise_changes_nothing_of_the_texts_under_way(noise: list[bytes], command: Command) -> None:
    """Random octets, and random bodies with an answer's header that names no submit."""
    talk = a_bound_talk()
    jobs = talk.send("A0", "A1")
    talk.session.tick(0.1)
    talk.written()
    for octets in noise:
        talk.session.octets(HEADER.pack(16 + len(octets), command, 0, 5_000) + octets, 0.2)
    for octets in noise:
        talk.session.octets(octets, 0.3)

    assert talk.traffic.desk.flying == len(jobs)
    assert [job.outcome for job in jobs] == [None, None]


@given(st.lists(st.binary(max_size=40), max_size=6))
def test_the_wait_is_never_negative_and_never_for_ever(noise: list[bytes]) -> None:
    talk = a_bound_talk()
    for second, octets in enumerate(noise):
        talk.session.octets(octets, float(second))
        talk.session.tick(float(second))

        assert 0 <= talk.session.wait_s(float(second)) <= 30
