"""How the routes stand: each by itself, the month of all, and what Today must warn of."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from babel.numbers import format_decimal

from gateway_adapters.contract import Gateway, Health, HealthState
from service.outbox.budget import month_spent, spent_today
from service.records.engine import Session
from service.records.route_list import doses_to_tell, doses_told_on, waiting_texts
from service.records.routes import routes
from service.records.traffic import RouteRow
from service.web.here import Here
from service.web.route_sums import Level, last_due, level_of, most_segments, next_evening
from service.web.route_words import gateway_words, rest_words
from service.web.sentence import Sentence, sentence

_COST = "#,##0.######"  # a segment may cost a small part of a coin


class Standing(StrEnum):
    """Whether a route sends now, or what keeps it."""

    OPEN = "open"
    ANSWERS = "answers"
    STOPPED = "stopped"
    RESTS = "rests"
    SPENT = "spent"
    GONE = "gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteLine:
    """A route as the page lists it; `health` is None where no gateway is open for it."""

    row: RouteRow
    gateway: Sentence
    cost: str
    standing: Standing
    words: Sentence
    health: Health | None
    spent: int
    waiting: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """What the association has spent of its month, and what the coming evenings may take."""

    spent: int
    ceiling: int | None
    level: Level
    evenings: tuple[tuple[date, int], ...]
    in_month: int  # of the coming evenings, those of this month

    @property
    def total(self) -> int:
        """What all the coming evenings may take."""
        return sum(count for _, count in self.evenings)

    @property
    def left(self) -> int | None:
        """What may still be spent, None without a ceiling."""
        return None if self.ceiling is None else max(0, self.ceiling - self.spent)


def gateway_of(asked: Here, row: RouteRow) -> Gateway | None:
    """Return the open gateway of a route; one of another association never counts."""
    named = any(
        each.name == row.name and each.association in (None, asked.association.code)
        for each in asked.services.settings.routes
    )
    return asked.services.gateways.get(row.name) if named and not row.retired else None


def route_lines(session: Session, asked: Here) -> list[RouteLine]:
    """Return every route of the association as it stands now, oldest first."""
    tenant = asked.association_id
    waiting = waiting_texts(session, tenant, now=asked.now)
    spent = spent_today(session, tenant, asked.today)
    level = _level(session, asked)
    return [
        _line(row, asked, spent=spent.get(row.id, 0), waiting=waiting.get(row.id, 0), level=level)
        for row in routes(session, tenant)
    ]


def _line(row: RouteRow, asked: Here, *, spent: int, waiting: int, level: Level) -> RouteLine:
    gateway = gateway_of(asked, row)
    standing = standing_of(row, asked, spent=spent, level=level)
    return RouteLine(
        row=row,
        gateway=gateway_words(row.adapter),
        cost=format_decimal(row.cost, format=_COST, locale=asked.tongue.locale),
        standing=standing,
        words=_standing_words(row, asked, standing),
        health=None if gateway is None else gateway.health(),
        spent=spent,
        waiting=waiting,
    )


def standing_of(row: RouteRow, asked: Here, *, spent: int, level: Level) -> Standing:
    """Return whether a route sends now; of several hindrances the one that lasts longest."""
    if row.retired:
        return Standing.GONE
    if row.stopped_at is not None:
        return Standing.STOPPED
    if row.daily_segments is not None and spent >= row.daily_segments:
        return Standing.SPENT
    if row.paused_until is not None and row.paused_until > asked.now:
        return Standing.RESTS
    return Standing.ANSWERS if level is Level.SPENT else Standing.OPEN


def _standing_words(row: RouteRow, asked: Here, standing: Standing) -> Sentence:
    match standing:
        case Standing.GONE:
            return sentence("Sends nothing: the settings no longer name it.")
        case Standing.STOPPED:
            return sentence("Stopped by %(who)s, %(at)s.", **_stop(row, asked))
        case Standing.SPENT:
            return sentence("Sends nothing more today: its segments of the day are spent.")
        case Standing.RESTS:
            return sentence("Rests until %(until)s: %(why)s.", **_rest(row, asked))
        case Standing.ANSWERS:
            return sentence("Sends only answers and safety texts: the month is spent.")
        case Standing.OPEN:
            return sentence("Sends.")


def _stop(row: RouteRow, asked: Here) -> dict[str, object]:
    at = "" if row.stopped_at is None else asked.tongue.moment(row.stopped_at, asked.zone)
    return {"who": row.stopped_by or "", "at": at}


def _rest(row: RouteRow, asked: Here) -> dict[str, object]:
    until = "" if row.paused_until is None else asked.tongue.moment(row.paused_until, asked.zone)
    return {"until": until, "why": rest_words(row.paused_for)}


def month_of(session: Session, asked: Here) -> Month:
    """Return the month of the association, with the most that the coming evenings may take."""
    tenant, ceiling = asked.association_id, asked.association.monthly_segments
    spent = month_spent(session, tenant, asked.today)
    first = next_evening(asked.now, asked.zone)
    doses = doses_to_tell(session, tenant, evening=first, due_until=last_due(first))
    evenings = most_segments(doses, first, gone=doses_told_on(session, tenant, first))
    return Month(
        spent=spent,
        ceiling=ceiling,
        level=level_of(spent, ceiling),
        evenings=tuple(evenings.items()),
        in_month=sum(
            count
            for day, count in evenings.items()
            if (day.year, day.month) == (asked.today.year, asked.today.month)
        ),
    )


def month_warning(spent: int, ceiling: int | None) -> Sentence | None:
    """Return what is to be said of a month that is nearly or wholly spent."""
    match level_of(spent, ceiling):
        case Level.SPENT:
            return sentence(
                "This month's segments are spent (%(spent)s of %(ceiling)s): only answers to "
                "growers and safety texts go.",
                spent=spent,
                ceiling=ceiling,
            )
        case Level.NEAR:
            return sentence(
                "This month's segments run out: %(spent)s of %(ceiling)s are spent.",
                spent=spent,
                ceiling=ceiling,
            )
        case Level.FREE:
            return None


def warnings_now(session: Session, asked: Here) -> list[Sentence]:
    """Return what Today must say of the routes and the month, one sentence each."""
    tenant, ceiling = asked.association_id, asked.association.monthly_segments
    spent = spent_today(session, tenant, asked.today)
    found = [
        _route_warning(row, asked, spent=spent.get(row.id, 0)) for row in routes(session, tenant)
    ]
    if ceiling is not None:
        found.insert(0, month_warning(month_spent(session, tenant, asked.today), ceiling))
    return [words for words in found if words is not None]


def _route_warning(row: RouteRow, asked: Here, *, spent: int) -> Sentence | None:
    match standing_of(row, asked, spent=spent, level=Level.FREE):
        case Standing.GONE:
            return None
        case Standing.STOPPED:
            return sentence(
                "Route %(name)s is stopped, by %(who)s, %(at)s.", name=row.name, **_stop(row, asked)
            )
        case Standing.SPENT:
            return sentence("Route %(name)s has sent all that it may today.", name=row.name)
        case Standing.RESTS:
            return sentence(
                "Route %(name)s rests until %(until)s: %(why)s.", name=row.name, **_rest(row, asked)
            )
        case _:
            gateway = gateway_of(asked, row)
            if gateway is None or gateway.health().state is not HealthState.DOWN:
                return None
            return sentence("The gateway of route %(name)s is down.", name=row.name)


def _level(session: Session, asked: Here) -> Level:
    ceiling = asked.association.monthly_segments
    if ceiling is None:
        return Level.FREE
    return level_of(month_spent(session, asked.association_id, asked.today), ceiling)
