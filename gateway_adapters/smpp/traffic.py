"""What the connections of a route share: the texts going out, the events coming in, one lock.

Every method but `__init__` is called with the lock held. Two conditions on the one lock keep
those who wait for events from being woken by answers, and the other way round.
"""

from collections.abc import Sequence
from threading import Condition, RLock

from gateway_adapters.contract import Ambiguous, Clock, Rejected
from gateway_adapters.smpp.codec import Pdu, Submit
from gateway_adapters.smpp.commands import Status
from gateway_adapters.smpp.deliveries import Deliveries
from gateway_adapters.smpp.desk import Desk, DeskNews, DeskRules
from gateway_adapters.smpp.inbox import Owed
from gateway_adapters.smpp.jobs import Call, Job, Piece
from gateway_adapters.smpp.matching import Matching
from gateway_adapters.smpp.pace import Pace, Roll
from gateway_adapters.smpp.settings import SmppSettings
from gateway_adapters.smpp.validity import validity_period


class Traffic:
    """A route's texts and events, whatever becomes of its connections."""

    def __init__(self, settings: SmppSettings, clock: Clock, *, roll: Roll, now: float) -> None:
        self.lock = RLock()
        self.answers = Condition(self.lock)
        self.arrivals = Condition(self.lock)
        self.settings = settings
        self.closing = False
        self.matching = Matching(settings.id_form)
        self.desk = Desk(
            DeskRules(
                window=settings.window,
                answer_s=settings.timing.answer_s,
                late_s=settings.timing.late_s,
                statuses=settings.statuses,
            ),
            pace=Pace(settings.rate_per_s, wait_s=settings.timing.throttle_s, roll=roll, now=now),
            news=DeskNews(taken=self._taken, lost=self.matching.lost, done=self.answers.notify_all),
        )
        self.deliveries = Deliveries(settings, clock, desk=self.desk, matching=self.matching)

    def send(self, call: Call, jobs: Sequence[Job]) -> None:
        """Queue the texts of a call."""
        call.unsettled = len(jobs)
        self.desk.enqueue(jobs)

    def next_submit(self, now: float) -> tuple[Piece, Submit] | None:
        """Return the piece that may leave now, with what to write."""
        piece = self.desk.take(now)
        return None if piece is None else (piece, self._submit(piece, now))

    def answered(self, pdu: Pdu, now: float) -> None:
        """Take in an answer to a submit."""
        self.desk.answered(pdu, now)
        if self.desk.pace.held_s(now):
            self.answers.notify_all()  # some may not want to wait so long
        self._look_again()

    def tick(self, now: float) -> None:
        """Give up what is overdue."""
        before = self.desk.flying
        self.desk.tick(now)
        if self.desk.flying != before:
            self._look_again()

    def broke(self) -> None:
        """Note that the connection for submits is gone."""
        self.desk.broke()
        self._look_again()

    def give_up(self, call: Call, now: float, unsent: Rejected) -> None:
        """Settle what is left of a call."""
        self.desk.give_up(call, now, unsent)
        self._look_again()

    def drop_waiting(self, call: Call, unsent: Rejected) -> None:
        """Settle those of a call that have not left and will not."""
        self.desk.drop_waiting(unsent, call=call)

    def stop(self, unsent: Rejected) -> None:
        """Take no more work; what waits is not sent."""
        self.closing = True
        self.desk.drop_waiting(unsent)
        self.answers.notify_all()
        self.arrivals.notify_all()

    def arrived(self, pdu: Pdu, owed: Owed, now: float) -> None:
        """Take in a deliver_sm; while closing, the gateway has to keep it."""
        if self.closing:
            owed.give(Status.TRY_LATER)
            return
        self.deliveries.arrived(pdu, owed, now)
        self._tell_of_events()

    def _look_again(self) -> None:
        self.deliveries.look_again()
        self._tell_of_events()
        if self.closing and not self.desk.flying:
            self.answers.notify_all()

    def _tell_of_events(self) -> None:
        if not self.deliveries.inbox.is_empty:
            self.arrivals.notify_all()

    def _taken(self, piece: Piece) -> None:
        self.matching.taken(piece)
        job = piece.job
        if isinstance(job.outcome, Ambiguous) and job.all_taken:
            self.deliveries.late(job)

    def _submit(self, piece: Piece, now: float) -> Submit:
        job, body, settings = piece.job, piece.body, self.settings
        return Submit(
            source=job.source,
            destination=job.destination,
            octets=body.octets,
            data_coding=body.data_coding,
            esm_class=body.esm_class,
            registered_delivery=int(job.message.want_receipt),
            validity_period=validity_period(
                settings.validity,
                left_s=job.expires_at - now,
                until=job.message.valid_until,
            ),
            service_type=settings.service_type,
            parameters=body.parameters,
        )
