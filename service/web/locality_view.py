"""How an area stands today, and what a hold moved, as the pages show it."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from service.agronomy.calendar import days_between
from service.agronomy.dosing import Season
from service.enrolment.moves import Moved, read
from service.records.engine import Session
from service.records.localities import AreaHoldRow, SeasonSpanRow
from service.records.locality_book import LocalityBook
from service.records.locality_lists import entry_of_hold, planting_places
from service.records.people import AreaRow
from service.web.here import Here
from service.web.locality_words import change_words, why_words
from service.web.sentence import Sentence, sentence

SHOWN = 6  # of the last entered: the page must stay light


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaLine:
    """An area as it stands today; `season` is None where nobody has told it."""

    area: AreaRow
    store_c: float | None
    own_store: bool
    season: Season | None
    holds: tuple[AreaHoldRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldLine:
    """A hold in a list: how it stands today, who entered it, whether another lies on its days."""

    hold: AreaHoldRow
    state: Sentence
    noted: Sentence
    overlaps: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpanLine:
    """A season in a list, and who entered it."""

    span: SeasonSpanRow
    noted: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedLine:
    """A dose that a hold changed."""

    moved: Moved
    code: str
    alias: str
    became: Sentence
    why: tuple[Sentence, ...]


def area_line(area: AreaRow, book: LocalityBook, asked: Here) -> AreaLine:
    """Return how an area stands today."""
    today = asked.today
    seasons = [
        span.season
        for span in book.spans
        if span.area_id in (None, area.id) and span.first_on <= today <= span.last_on
    ]
    return AreaLine(
        area=area,
        store_c=book.store_c.get(area.id),
        own_store=area.store_c is not None,
        season=seasons[-1] if seasons else None,
        holds=tuple(
            hold for hold in book.holds_in(area.id) if hold.first_on <= today <= hold.last_on
        ),
    )


def hold_lines(
    holds: Iterable[AreaHoldRow], asked: Here, *, among: Collection[AreaHoldRow]
) -> list[HoldLine]:
    """Return the last holds that were entered, the newest first; `among` all that stand."""
    rows = sorted(holds, key=lambda hold: -hold.id)
    return [
        HoldLine(
            hold=hold,
            state=_state(hold, asked),
            noted=noted_words(hold, asked),
            overlaps=any(_overlap(hold, other) for other in among),
        )
        for hold in rows[:SHOWN]
    ]


def span_lines(spans: Iterable[SeasonSpanRow], asked: Here) -> list[SpanLine]:
    """Return the last seasons that were entered, the one that stands before others first."""
    rows = sorted(spans, key=lambda span: -span.id)
    return [SpanLine(span=span, noted=noted_words(span, asked)) for span in rows[:SHOWN]]


def noted_words(row: AreaHoldRow | SeasonSpanRow, asked: Here) -> Sentence:
    """Return who entered something, and when."""
    at = asked.tongue.moment(row.recorded_at, asked.zone)
    return sentence("by %(who)s, %(at)s", who=row.noted_by, at=at)


def moves_of_hold(session: Session, asked: Here, hold_id: int) -> list[Moved]:
    """Return the doses that changed when a hold was entered or, later, withdrawn."""
    entry = entry_of_hold(session, asked.association_id, hold_id)
    return [] if entry is None else [read(values) for values in entry.detail.get("moved", [])]


def moved_lines(session: Session, asked: Here, moved: Iterable[Moved]) -> list[MovedLine]:
    """Return changes of doses with where they are."""
    found = list(moved)
    places = planting_places(session, asked.association_id, {each.planting_id for each in found})
    return [
        MovedLine(
            moved=each,
            code=f"{places[each.planting_id].letter or ''}{each.change.number}",
            alias=places[each.planting_id].alias,
            became=change_words(each.change),
            why=why_words(each.change),
        )
        for each in found
        if each.planting_id in places
    ]


def _state(hold: AreaHoldRow, asked: Here) -> Sentence:
    if hold.last_on < asked.today:
        return sentence("over")
    if hold.first_on > asked.today:
        return sentence("in %(days)s days", days=days_between(asked.today, hold.first_on))
    return sentence("now")


def _overlap(hold: AreaHoldRow, other: AreaHoldRow) -> bool:
    return (
        other.id != hold.id
        and other.first_on <= hold.last_on
        and other.last_on >= hold.first_on
        and (None in (hold.area_id, other.area_id) or hold.area_id == other.area_id)
    )
