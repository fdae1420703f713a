"""Plays a season day by day with the same code as in life; only the clock is driven.

All that it knows is in the database and on the pretend phones, so a season that was cut off goes
on from the moment the clock stands at.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from zoneinfo import ZoneInfo

from service.agronomy.calendar import add_days
from service.bootstrap import Services
from service.demo.behaviour import Growers
from service.demo.coordinator import Morning, work_through
from service.demo.growers import texts_of
from service.demo.homes import homes_on
from service.dispatch.dispatcher import Lane
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

    def play(self) -> None:
        """Play every moment from where the clock stands until no planting is open."""
        resumed_at = self.services.clock()
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
            self._moment(moment, today, clock, again=moment == resumed_at)

    def _moments(self) -> Iterator[datetime]:
        for ahead in range(LAST_DAYS):
            day = add_days(self.first_on, ahead)
            for clock in (MORNING, CALLS, NOON, *EVENINGS):
                yield datetime.combine(day, clock, tzinfo=self.zone).astimezone(UTC)

    def _goes_on(self) -> bool:
        with self.services.sessions.read() as session:
            return bool(open_plantings(session, self.lane.association_id))

    def _moment(self, moment: datetime, today: date, clock: time, *, again: bool) -> None:
        """Let people act at a moment, and run a step if there is anything to do.

        A moment that was cut off is played `again`: what was done then is found done.
        """
        acted = False
        if clock in (CALLS, NOON):
            self._move(moment)
            acted = self._calls(today) if clock == CALLS else self._texts(today)
        if clock == MORNING or acted or again or self._due(moment):
            self._move(moment)
            self.services.step()

    def _move(self, moment: datetime) -> None:
        with self.services.sessions.begin() as session:
            move_pretend_clock(session, moment)

    def _due(self, moment: datetime) -> bool:
        with self.services.sessions.read() as session:
            due_at = next_due_at(session, self.lane.association_id)
        return due_at is not None and due_at <= moment

    def _calls(self, today: date) -> bool:
        now = self.services.clock()
        with self.services.sessions.begin() as session:
            homes = homes_on(session, self.lane.association_id, self.growers, now=now)
            morning = Morning(
                session=session,
                association_id=self.lane.association_id,
                homes=homes,
                today=today,
                now=now,
            )
            return work_through(morning) > 0

    def _texts(self, today: date) -> bool:
        with self.services.sessions.read() as session:
            homes = homes_on(
                session, self.lane.association_id, self.growers, now=self.services.clock()
            )
        phones, sender = self.services.pretend_phones(), self.lane.sender
        texts = [text for home in homes for text in texts_of(home, today)]
        for text in texts:
            phones.answer(text.number, text.text, to=sender, event_id=text.key)
        return bool(texts)
