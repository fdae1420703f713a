"""Today: what waits for a person, in the order of need, and what goes out by itself."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from flask import Blueprint, render_template

from service.records.engine import Session
from service.records.people import HouseholdRow
from service.records.phones import phones_by_ids
from service.records.task_lines import (
    TaskCounts,
    count_settled,
    count_tasks,
    settled_lines,
    task_lines,
)
from service.records.today_page import (
    HoldLine,
    Outgoing,
    count_holds,
    first_to_read,
    holds_on,
    next_outgoing,
)
from service.records.traffic import InboundRow
from service.records.waiting import waiting_counts
from service.web.clock_box import clock_box
from service.web.here import Here, here
from service.web.household_words import KIND_WORDS
from service.web.paging import SIZE, Pages, asked_page, pages_of
from service.web.route_view import warnings_now
from service.web.sentence import Sentence
from service.web.task_lists import (
    CALL,
    ENROL,
    HEADINGS,
    KINDS,
    MINE,
    NOT_TOLD,
    UNKNOWN,
    TaskItem,
    day_began,
    task_items,
)

page = Blueprint("today", __name__)

SHOWN = {CALL: 8, UNKNOWN: 4, NOT_TOLD: 5, ENROL: 4, MINE: 4}  # the page stays light
TEXTS_SHOWN = 3
HOLDS_SHOWN = 4
WARNINGS_SHOWN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """The first tasks of one kind, and how many there are."""

    name: str
    heading: Sentence
    count: int
    items: tuple[TaskItem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingText:
    """A text to read, with the homes that share its phone; none: nobody is enrolled with it."""

    row: InboundRow
    homes: tuple[HouseholdRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evening:
    """What goes out on the next evening: how many texts of which kind."""

    first: Outgoing
    today: bool
    count: int
    kinds: tuple[tuple[Sentence, int], ...]


@page.get("/")
def index() -> str:
    """Show the day: whom to call, what to read, what is held, and what goes out."""
    asked = here()
    tenant, today = asked.association_id, asked.today
    with asked.reading() as session:
        counts = count_tasks(session, tenant, today=today)
        sections = {name: _section(session, asked, name, counts) for name in KINDS}
        warnings = warnings_now(session, asked)
        return render_template(
            "today/index.html",
            clock=clock_box(asked),
            warnings=warnings[:WARNINGS_SHOWN],
            more_warnings=len(warnings[WARNINGS_SHOWN:]),
            sections=sections,
            resting=counts.resting,
            to_read=waiting_counts(session, tenant, today=today).texts,
            texts=_texts(session, tenant),
            holds=holds_on(session, tenant, today, first=0, most=HOLDS_SHOWN),
            held=count_holds(session, tenant, today),
            evening=_evening(next_outgoing(session, tenant, now=asked.now), today),
            mine=_mine(session, asked),
        )


@page.get("/holds")
def holds() -> str:
    """List the holds that today lies in, 25 a page."""
    asked = here()
    with asked.reading() as session:
        count = count_holds(session, asked.association_id, asked.today)
        pages = pages_of(count, min(asked_page(), pages_of(count, 1).last))
        lines = _hold_lines(session, asked, pages)
    return render_template("today/holds.html", holds=lines, pages=pages)


def _hold_lines(session: Session, asked: Here, pages: Pages) -> list[HoldLine]:
    first = (pages.number - 1) * SIZE
    return holds_on(session, asked.association_id, asked.today, first=first, most=SIZE)


def _section(session: Session, asked: Here, name: str, counts: TaskCounts) -> Section:
    lines = task_lines(
        session,
        asked.association_id,
        kinds=KINDS[name],
        today=asked.today,
        first=0,
        most=SHOWN[name],
    )
    return Section(
        name=name,
        heading=HEADINGS[name],
        count=counts.of(KINDS[name]),
        items=tuple(task_items(session, asked.association_id, lines)),
    )


def _mine(session: Session, asked: Here) -> Section:
    tenant, who, since = asked.association_id, asked.visit.shown, day_began(asked)
    lines = settled_lines(session, tenant, who=who, since=since, first=0, most=SHOWN[MINE])
    return Section(
        name=MINE,
        heading=HEADINGS[MINE],
        count=count_settled(session, tenant, who=who, since=since),
        items=tuple(task_items(session, tenant, lines)),
    )


def _texts(session: Session, association_id: int) -> list[WaitingText]:
    rows = first_to_read(session, association_id, most=TEXTS_SHOWN)
    phones = phones_by_ids(session, association_id, {row.phone_id or 0 for row in rows})
    homes = {phone_id: bundle.households for phone_id, bundle in phones.items()}
    return [WaitingText(row=row, homes=homes.get(row.phone_id or 0, ())) for row in rows]


def _evening(waiting: Sequence[Outgoing], today: date) -> Evening | None:
    if not waiting:
        return None
    kinds: dict[str, tuple[Sentence, int]] = {}
    for each in waiting:
        words = KIND_WORDS[each.kind]
        _, before = kinds.get(words.text, (words, 0))
        kinds[words.text] = (words, before + each.count)
    return Evening(
        first=min(waiting, key=lambda each: each.first_at),
        today=waiting[0].evening == today,
        count=sum(each.count for each in waiting),
        kinds=tuple(kinds.values()),
    )
