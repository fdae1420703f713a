"""One connection's conversation: binding, questions, answers, parting. Pure: no socket.

Octets come in by `octets` and leave by `outgoing`; times are seconds of a monotonic clock. A
session that is over says why in `over`; what it still has to write may be written then.
"""

from collections.abc import Callable
from dataclasses import dataclass

from gateway_adapters.errors import MalformedPduError
from gateway_adapters.smpp import codec
from gateway_adapters.smpp.addresses import Address
from gateway_adapters.smpp.codec import Bind, Pdu
from gateway_adapters.smpp.commands import BIND_ANSWERS, RESPONSE, Command, Status
from gateway_adapters.smpp.frames import Frames
from gateway_adapters.smpp.inbox import Owed
from gateway_adapters.smpp.liveness import Liveness
from gateway_adapters.smpp.traffic import Traffic
from gateway_adapters.smpp.write_queue import WriteQueue

BIND_LIMIT_S = 10.0
PART_LIMIT_S = 1.0
LINGER_S = 2.0  # for answers that are on their way when the peer leaves
_LAST_SEQUENCE = 0x7FFFFFFF  # SMPP 3.4, 3.2
_AT_ONCE = 64  # submits written before the socket is looked at again


@dataclass(slots=True, eq=False)
class Question:
    """A query_sm or enquire_link of somebody who waits; `answer` stays None if none came."""

    done: bool = False
    answer: Pdu | None = None


class Session:
    """What is said on one connection."""

    def __init__(
        self, bind: Bind, traffic: Traffic, *, now: float, on_bound: Callable[[], None]
    ) -> None:
        self.over: str | None = None
        self.bound = False
        self.bind_status: int | None = None
        self.submits = bind.command != Command.BIND_RECEIVER
        self._traffic = traffic
        self._on_bound = on_bound
        self._timing = traffic.settings.timing
        self._frames = Frames()
        self.outgoing = WriteQueue()
        self._sequence = 0
        self._liveness = Liveness(self._timing.enquire_s, now=now)
        self._limit_at: float | None = now + BIND_LIMIT_S
        self._leaving_at: float | None = None
        self._parting = False
        self._questions: dict[int, Question] = {}
        self._deliveries: dict[int, float] = {}
        self._bind_sequence = self._next_sequence()
        self._say(codec.write_bind(bind, sequence=self._bind_sequence))

    def octets(self, octets: bytes, now: float) -> None:
        """Take in what the peer wrote."""
        self._liveness.heard(now)
        try:
            while pdus := self._frames.feed(octets):
                octets = b""
                for pdu in pdus:
                    self._take_in(codec.read(pdu), now)
        except MalformedPduError:
            self._say(codec.write_plain(Command.GENERIC_NACK, sequence=0, status=Status.BAD_LENGTH))
            self.end("The gateway wrote what is no SMPP.")

    def tick(self, now: float) -> None:
        """Do what is due: questions, overdue answers, submits."""
        if self.over is not None:
            return
        if self.submits:
            self._traffic.tick(now)
        self._answer_overdue(now)
        if self._is_in_time(now) and self.bound:
            if self._liveness.ask(now):
                self._say(codec.write_plain(Command.ENQUIRE_LINK, sequence=self._next_sequence()))
            desk = self._traffic.desk
            if self.submits and desk.must_rebind and not desk.flying:
                self.part(now)
            self._submit(now)

    def wait_s(self, now: float) -> float:
        """Return how long until `tick` has something to do, in seconds."""
        due = [self._liveness.due_s(now)]
        if self._limit_at is not None:
            due.append(self._limit_at - now)
        if self._leaving_at is not None:
            due.append(0.0 if self._may_leave() else self._leaving_at - now)
        if self._deliveries:
            due.append(next(iter(self._deliveries.values())) - now)
        desk = self._traffic.desk
        if self.submits and desk.flying:
            due.append(desk.overdue_s(now))
        if self._may_submit and desk.has_room:
            due.append(desk.pace.wait_s(now))
        return max(min(due), 0.0)

    def ask_link(self) -> Question:
        """Ask for a sign of life."""
        sequence, question = self._question()
        self._say(codec.write_plain(Command.ENQUIRE_LINK, sequence=sequence))
        return question

    def ask_state(self, gateway_id: str, source: Address) -> Question:
        """Ask what became of a text."""
        sequence, question = self._question()
        self._say(codec.write_query(gateway_id, source, sequence=sequence))
        return question

    def answer(self, sequence: int, status: int) -> bool:
        """Answer a deliver_sm; False if it was answered, or cannot be any more."""
        if self.over is not None or self._deliveries.pop(sequence, None) is None:
            return False
        self._say(codec.write_plain(Command.DELIVER_SM_RESP, sequence=sequence, status=status))
        return True

    def part(self, now: float) -> None:
        """Say goodbye; the session is over when the peer has answered, or after a second."""
        if self.over is None and not self._parting:
            self._parting = True
            self._leaving_at = None
            self._limit_at = now + PART_LIMIT_S
            self._say(codec.write_plain(Command.UNBIND, sequence=self._next_sequence()))

    def end(self, why: str) -> None:
        """Be over; whoever waits for an answer gets none, and what has not left stays here."""
        if self.over is not None:
            return
        self.over = why
        for question in self._questions.values():
            question.done = True
        for sequence in self.outgoing.withdraw_submits():
            self._traffic.desk.withdraw(sequence)
        self._traffic.answers.notify_all()

    def _take_in(self, pdu: Pdu, now: float) -> None:
        if self.over is not None:
            return
        match pdu.command:
            case Command.DELIVER_SM:
                self._deliveries[pdu.sequence] = now + self._timing.delivery_s
                self._traffic.arrived(pdu, Owed(self, pdu.sequence), now)
            case Command.ENQUIRE_LINK:
                self._reply(Command.ENQUIRE_LINK_RESP, pdu)
            case Command.UNBIND:
                self._reply(Command.UNBIND_RESP, pdu)
                self._leaving_at = now + LINGER_S
            case Command.UNBIND_RESP if self._parting:
                self.end("The connection was closed.")
            case Command.ALERT_NOTIFICATION | Command.OUTBIND:
                pass  # neither has an answer, and neither is about a text
            case command if command & RESPONSE:
                self._take_in_answer(pdu, now)
            case _:
                self._reply(Command.GENERIC_NACK, pdu, status=Status.BAD_COMMAND)

    def _take_in_answer(self, pdu: Pdu, now: float) -> None:
        if question := self._questions.pop(pdu.sequence, None):
            question.done, question.answer = True, pdu
            self._traffic.answers.notify_all()
        elif pdu.sequence == self._bind_sequence and (
            pdu.command in BIND_ANSWERS or pdu.command == Command.GENERIC_NACK
        ):
            self._bind_answered(pdu)
        elif pdu.command in (Command.SUBMIT_SM_RESP, Command.GENERIC_NACK) and self.submits:
            self._traffic.answered(pdu, now)

    def _bind_answered(self, pdu: Pdu) -> None:
        if self.bind_status is not None:
            return
        self.bind_status, self._limit_at = pdu.status, None
        if pdu.status == Status.OK and pdu.command in BIND_ANSWERS:
            self.bound = True
            self._on_bound()
        else:
            self.end("The gateway refused the sign-in.")

    def _answer_overdue(self, now: float) -> None:
        while self._deliveries:
            sequence, until = next(iter(self._deliveries.items()))
            if until > now:
                return
            self.answer(sequence, Status.TRY_LATER)

    def _is_in_time(self, now: float) -> bool:
        if self._limit_at is not None and now >= self._limit_at:
            self.end("The gateway did not answer in time.")
        elif self._leaving_at is not None and (self._may_leave() or now >= self._leaving_at):
            self.end("The gateway closed the connection.")
        elif self._liveness.is_dead(now):
            self.end("The gateway gave no sign of life.")
        else:
            return True
        return False

    @property
    def _may_submit(self) -> bool:
        return (
            self.submits
            and self.bound
            and not self._parting
            and self._leaving_at is None
            and not self._traffic.desk.must_rebind
            and len(self.outgoing) < _AT_ONCE
        )

    def _may_leave(self) -> bool:
        return not self.outgoing and not (self.submits and self._traffic.desk.flying)

    def _submit(self, now: float) -> None:
        while self._may_submit and (taken := self._traffic.next_submit(now)):
            piece, submit = taken
            sequence = self._next_sequence()
            self.outgoing.put(codec.write_submit(submit, sequence=sequence), submit=sequence)
            self._traffic.desk.flies(sequence, piece, now)

    def _question(self) -> tuple[int, Question]:
        sequence, question = self._next_sequence(), Question()
        if self.over is not None:
            question.done = True
        else:
            self._questions[sequence] = question
        return sequence, question

    def _reply(self, command: Command, pdu: Pdu, *, status: int = Status.OK) -> None:
        self._say(codec.write_plain(command, sequence=pdu.sequence, status=status))

    def _say(self, octets: bytes) -> None:
        if self.over is None:
            self.outgoing.put(octets)

    def _next_sequence(self) -> int:
        self._sequence = self._sequence % _LAST_SEQUENCE + 1
        return self._sequence
