"""Plays a season day by day with the same code as in life; only the clock is driven.

All that it knows is in the database and on the pretend phones, so a season that was cut off goes
on from the moment the clock stands at.
"""

from collections.abc import Callable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from service.agronomy.calendar import add_days
from service.bootstrap import Services
from service.demo.behaviour import Growers
from service.demo.coordinator import Morning, work_through
from service.demo.growers import texts_of
from service.demo.hands import Hands
from service.demo.homes import homes_on
from service.demo.phones import Phones
from service.demo.plan_log import Moment, PlanLog
from service.dispatch.dispatcher import Lane
from service.planning.board_now import board_now
from service.planning.send_window import local_day
from service.records.plantings import open_plantings
from service.records.pretend import move_pretend_clock
from service.records.season_report import next_due_at

MORNING, CALLS, NOON = time(6, 30), time(9), time(12)
EVENINGS = tuple(time(hour, minute) for hour in (17, 18, 19) for minute in (0, 15, 30, 45))
LAST_DAYS = 330  # longer than any season of the demo

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """A season to be played."""

    services: Services
    lane: Lane
    growers: Growers
    zone: ZoneInfo
    first_on: date
    say: Say
    phones: Phones
    hands: Hands
    days: int = LAST_DAYS

    def play(self) -> None:
        """Play every moment from where the clock stands until no planting is open."""
        resumed_at = self.services.clock()
        with self.services.sessions.read() as session:
            log = PlanLog(session, self.lane.association_id)
        month = ""
        for moment in self._moments():
            if moment < resumed_at:
                continue
            today = local_day(moment, self.zone)
            clock = moment.astimezone(self.zone).time()
            if clock == MORNING and not self._goes_on():
                return
            if today.strftime("%Y-%m") != month:
                month = today.strftime("%Y-%m")
                self.say(f"{month} …")
            # what was done at a moment that was cut off is found done
            self._moment(moment, clock, log, again=moment == resumed_at)

    def _moment(self, moment: datetime, clock: time, log: PlanLog, *, again: bool) -> None:
        """Let people act at a moment, and the work be done if there is any.

        Nobody works between the first act and the last, for in the records they are one moment.
        """
        with self.hands.still() if clock in (CALLS, NOON) else nullcontext():
            acted = clock == CALLS and self._calls(moment, log)
            acted |= clock == NOON and self._texts(moment, log)
        if not acted and (clock == MORNING or again or self._due(moment)):
            with self.hands.still():
                self._move(moment)
            acted = True
        if acted:
            self.hands.work()

    def _moments(self) -> Iterator[datetime]:
        for ahead in range(self.days):
            day = add_days(self.first_on, ahead)
            for clock in (MORNING, CALLS, NOON, *EVENINGS):
                yield datetime.combine(day, clock, tzinfo=self.zone).astimezone(UTC)

    def _goes_on(self) -> bool:
        with self.services.sessions.read() as session:
            return bool(open_plantings(session, self.lane.association_id))

    def _move(self, moment: datetime) -> None:
        with self.services.sessions.begin() as session:
            move_pretend_clock(session, moment)

    def _due(self, moment: datetime) -> bool:
        with self.services.sessions.read() as session:
            due_at = next_due_at(session, self.lane.association_id)
        return due_at is not None and due_at <= moment

    def _calls(self, now: datetime, log: PlanLog) -> bool:
        with self.services.sessions.begin() as session:
            morning = Morning(
                session=session,
                association_id=self.lane.association_id,
                growers=self.growers,
                log=log,
                today=local_day(now, self.zone),
                now=now,
            )
            acts = work_through(morning)
            if acts:
                move_pretend_clock(session, now)
            return acts > 0

    def _texts(self, now: datetime, log: PlanLog) -> bool:
        tenant = self.lane.association_id
        with self.services.sessions.begin() as session:
            board = board_now(session, tenant, now=now)
            log.look_once(Moment(session=session, association_id=tenant, now=now), board)
            homes = homes_on(session, tenant, self.growers, board=board)
            texts = [text for home in homes for text in texts_of(home, board.today)]
        if texts:
            self._move(now)
        sender = self.lane.sender
        for text in texts:
            self.phones.answer(text.number, text.text, to=sender, event_id=text.key)
        return bool(texts)
