"""Hours and minutes: when an evening's text goes, and when nothing may. Pure.

Reminders go at the household's minute between 17:00 and 19:59 local, and expire at 20:00; from
20:00 to 06:00 the service starts nothing. The hour is a project choice: no trial was found.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from service.agronomy.calendar import add_days

QUIET_FROM = time(20)
QUIET_UNTIL = time(6)
FIRST_REMINDER, LAST_REMINDER = time(17), time(19, 59)
HALF_HOURS = tuple(time(17 + half // 2, half % 2 * 30) for half in range(6))
ANSWER_KEPT = timedelta(hours=24)
HELP_ONCE_IN = timedelta(hours=24)
ECHO_DAYS = timedelta(days=7)  # an age of texts, not a farm day
LOOP_WINDOW = timedelta(minutes=10)
SAME_WINDOW = timedelta(hours=1)
TWICE_WINDOW = timedelta(minutes=10)
MUTED_FOR = timedelta(hours=24)
UNKNOWN_ONCE_IN = timedelta(days=30)
PLANNED_AGAIN_AFTER = timedelta(seconds=2)  # as often as the ticker comes by
RESUME_FOR = timedelta(minutes=5)  # a dropped menu can be gone on with
MENU_KEPT = timedelta(days=1)  # a gateway may send a step again


@dataclass(frozen=True, slots=True, kw_only=True)
class Window:
    """A half-open span of instants in UTC in which a text may leave."""

    opens_at: datetime
    closes_at: datetime


def zone_of(name: str) -> ZoneInfo:
    """Return the time zone of this name."""
    return ZoneInfo(name)


def local_day(now: datetime, zone: ZoneInfo) -> date:
    """Return the farm day at an instant."""
    return now.astimezone(zone).date()


def local_time(now: datetime, zone: ZoneInfo) -> time:
    """Return the time of day at an instant."""
    return now.astimezone(zone).time()


def at_local(day: date, hour: time, zone: ZoneInfo) -> datetime:
    """Return the instant of a local time of day, in UTC."""
    return datetime.combine(day, hour, tzinfo=zone).astimezone(UTC)


def evening(day: date, minute: int, zone: ZoneInfo) -> Window:
    """Return the span for a reminder on the evening of `day`: `minute` after midnight to 20:00."""
    return Window(
        opens_at=at_local(day, time(minute // 60, minute % 60), zone),
        closes_at=at_local(day, QUIET_FROM, zone),
    )


def daytime(now: datetime, zone: ZoneInfo) -> Window:
    """Return the current or next span between 06:00 and 20:00 local."""
    today = local_day(now, zone)
    day = today if local_time(now, zone) < QUIET_FROM else add_days(today, 1)
    return Window(
        opens_at=at_local(day, QUIET_UNTIL, zone), closes_at=at_local(day, QUIET_FROM, zone)
    )


def is_quiet(now: datetime, zone: ZoneInfo) -> bool:
    """Say whether the service may start nothing now."""
    clock = local_time(now, zone)
    return clock >= QUIET_FROM or clock < QUIET_UNTIL


def answer_window(now: datetime) -> Window:
    """Return the span for an answer to a grower's own text: at once, at any hour."""
    return Window(opens_at=now, closes_at=now + ANSWER_KEPT)


def evening_stops(now: datetime, zone: ZoneInfo) -> list[datetime]:
    """Return the instants at which a day must be looked at up to the next evening's end.

    From 06:00, when calls are opened, through each half hour in which reminders go. After 17:00
    the next evening is tomorrow's.
    """
    today = local_day(now, zone)
    day = today if local_time(now, zone) < FIRST_REMINDER else add_days(today, 1)
    hours = (QUIET_UNTIL, *HALF_HOURS, LAST_REMINDER)
    return [stop for hour in hours if (stop := at_local(day, hour, zone)) > now]
