"""A route's connections taken together: one for both directions, or one for each."""

import time
from collections.abc import Callable

from gateway_adapters.contract import Clock, Health, HealthState, Rejected, RejectKind, Scope
from gateway_adapters.smpp.codec import Bind
from gateway_adapters.smpp.commands import Command
from gateway_adapters.smpp.link import Link, Phase
from gateway_adapters.smpp.outgoing import not_sent
from gateway_adapters.smpp.pace import Roll
from gateway_adapters.smpp.session import PART_LIMIT_S, Question, Session
from gateway_adapters.smpp.settings import Mode
from gateway_adapters.smpp.traffic import Traffic

_WORST_FIRST = (HealthState.DOWN, HealthState.DEGRADED, HealthState.UP)
_JOIN_S = 2.0
LATE = "The deadline passed before the message's turn came."
NO_ANSWER = "The gateway did not answer in time."


class Links:
    """The connections of a route. The lock is the traffic's, and taken here unless said."""

    def __init__(self, traffic: Traffic, clock: Clock, *, roll: Roll) -> None:
        self._traffic = traffic
        commands = {
            Mode.TRANSCEIVER: (Command.BIND_TRANSCEIVER,),
            Mode.TWO: (Command.BIND_TRANSMITTER, Command.BIND_RECEIVER),
        }[traffic.settings.mode]
        self._all = tuple(
            Link(_bind(command, traffic), traffic, clock, roll=roll) for command in commands
        )
        self._sending = self._all[0]

    def start(self) -> None:
        """Connect what was not connected before; with the lock held."""
        for link in self._all:
            link.start()

    def wake(self) -> None:
        """Let the sending connection look at what there is to send; with the lock held."""
        self._sending.wake()

    def write_all(self) -> None:
        """Let each connection write what it has to say; with the lock held."""
        for link in self._all:
            link.write()

    def hopeless(self, failures: int, *, until: float, now: float) -> Rejected | None:
        """Return why what waits will not leave before `until`, or None while it may.

        `failures` is how many attempts had failed when the waiting began. With the lock held.
        """
        standing = self._sending.standing
        if standing.phase is Phase.OVER or (
            standing.phase is Phase.WAITING
            and (standing.failures > failures or standing.retry_at >= until)
        ):
            return self.unsent(now)
        held_s = self._traffic.desk.pace.held_s(now)
        if standing.phase is Phase.BOUND and now + held_s >= until and held_s > 0:
            return Rejected(
                kind=RejectKind.THROTTLED,
                scope=Scope.ROUTE,
                code="held-back",
                detail="The gateway asked for a slower pace.",
                retry_after_s=held_s,
            )
        return None

    @property
    def failures(self) -> int:
        """How many attempts to connect have failed; with the lock held."""
        return self._sending.standing.failures

    def unsent(self, now: float) -> Rejected:
        """Return what has become of a text whose turn did not come; with the lock held."""
        standing = self._sending.standing
        if standing.phase is Phase.BOUND:
            return not_sent(LATE)
        left_s = max(standing.retry_at - now, 0.0)
        if standing.refusal is not None:
            return standing.refusal
        return not_sent(
            standing.reason, retry_after_s=left_s if standing.phase is Phase.WAITING else None
        )

    def health(self) -> Health:
        """Return the worst of the connections."""
        return min(
            (link.health() for link in self._all),
            key=lambda health: _WORST_FIRST.index(health.state),
        )

    def try_all(self, until: float) -> Health:
        """Connect and ask each connection for a sign of life; return how that went."""
        with self._traffic.lock:
            before = [(link, link.standing.failures) for link in self._all]
            for link in self._all:
                link.start()
                link.hurry()
            self._wait(lambda: all(link.bound or link.has_failed(n) for link, n in before), until)
            questions = [link.session.ask_link() for link in self._all if link.session]
            self.write_all()
            self._wait(lambda: all(question.done for question in questions), until)
            answered = all(question.answer for question in questions)
            health = self.health()
        if health.state is HealthState.UP and not answered:
            return Health(state=HealthState.DEGRADED, reason=NO_ANSWER, since=health.since)
        return health

    def ask(self, ask: Callable[[Session], Question], until: float) -> Question | None:
        """Ask on the sending connection and wait; None if it does not come about in time."""
        with self._traffic.lock:
            failures = self.failures
            self.start()
            self._wait(lambda: self._sending.bound or self._sending.has_failed(failures), until)
            session = self._sending.session
            if session is None or not session.bound:
                return None
            question = ask(session)
            self._sending.wake()
            self._wait(lambda: question.done, until)
            return question

    def close(self, until: float) -> None:
        """Let outstanding answers arrive until then, say goodbye, and be gone a second later."""
        traffic = self._traffic
        with traffic.lock:
            self._wait(lambda: not (self._sending.bound and traffic.desk.flying), until)
            traffic.deliveries.give_all_back()
            for link in self._all:
                link.part(time.monotonic())
            self._wait(self._are_over, time.monotonic() + PART_LIMIT_S)
            for link in self._all:
                link.abandon()
        for link in self._all:
            link.join(_JOIN_S)
        with traffic.lock:
            traffic.broke()
            traffic.desk.drop_waiting(not_sent("The gateway was closed."))

    def _are_over(self) -> bool:
        return all(link.standing.phase in (Phase.IDLE, Phase.OVER) for link in self._all)

    def _wait(self, met: Callable[[], bool], until: float) -> None:
        while not met() and (left_s := until - time.monotonic()) > 0:
            self._traffic.answers.wait(left_s)


def _bind(command: Command, traffic: Traffic) -> Bind:
    settings = traffic.settings
    return Bind(
        command=command,
        system_id=settings.system_id,
        password=settings.password,
        system_type=settings.system_type,
    )
