"""The season so far: how the doses stand by area, and the same as a table to take away."""

import csv
from collections.abc import Generator, Iterator
from datetime import date
from io import StringIO

from flask import Blueprint, Response, render_template, request

from service.agronomy.calendar import add_days
from service.agronomy.rules import rules
from service.records.fields import DoseState
from service.records.intake import find_areas
from service.records.season_page import (
    counts_by_area,
    season_doses,
    season_facts_told,
    season_holds,
)
from service.web.fertiliser import price_of, worth_of
from service.web.form import Form
from service.web.here import Here, here
from service.web.paging import SIZE, asked_page, pages_of
from service.web.season_sums import CELLS, cells_of, late_by_area, sums_by_area, total
from service.web.sentence import sentence

page = Blueprint("season", __name__)

LABELS = {"price": sentence("Price of a kilogram of urea")}
DAYS_BACK = 365  # project choice: a year holds every season that is still told of


@page.get("/season")
def show() -> str | tuple[str, int]:
    """Show how the doses of the last year's plantings stand, by area, and what they are worth.

    A price for that stands in the address, and is not kept.
    """
    asked = here()
    form = Form.of(request.args, locale=asked.tongue.locale)
    price = price_of(form)
    since = _since(asked)
    tenant = asked.association_id
    with asked.reading() as session:
        areas = sorted(find_areas(session, tenant).values(), key=lambda row: (row.name, row.id))
        counts = counts_by_area(session, tenant, since=since)
        facts = season_facts_told(session, tenant, since=since)
        holds = season_holds(session, tenant, since=since)
        done = list(season_doses(session, tenant, since=since, state=DoseState.DONE))
        late = late_by_area(done, facts, holds)
    sums = sums_by_area(counts, late)
    lines = [(area.name, sums[area.id]) for area in areas if area.id in sums]
    pages = pages_of(len(lines), asked_page())
    first = (pages.number - 1) * SIZE
    shown = render_template(
        "season.html",
        since=since,
        lines=lines[first : first + SIZE],
        pages=pages,
        total=total(sums.values()),
        window_days=rules().window_days,
        form=form,
        labels=LABELS,
        worth=worth_of(sum((dose.litres for dose in done), start=0.0), price),
    )
    return shown if form.sound else (shown, 422)


@page.get("/season.csv")
def take_away() -> Response:
    """Send the same doses as a table, one row a dose."""
    asked = here()
    lines = _lines(asked, _since(asked))
    head = next(lines)  # the looks are begun here, so that a failing one still has its page
    answer = Response(_with_head(head, lines), mimetype="text/csv")
    name = f"season-{asked.today.isoformat()}.csv"
    answer.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    answer.call_on_close(lines.close)
    return answer


def _since(asked: Here) -> date:
    return add_days(asked.today, -DAYS_BACK)


def _with_head(head: str, lines: Iterator[str]) -> Iterator[str]:
    yield head
    yield from lines


def _lines(asked: Here, since: date) -> Generator[str, None, None]:
    tenant = asked.association_id
    with asked.reading() as session:
        facts = season_facts_told(session, tenant, since=since)
        holds = season_holds(session, tenant, since=since)
        doses = season_doses(session, tenant, since=since)
        yield _line(CELLS)
        for dose in doses:
            yield _line(cells_of(dose, facts, holds))


def _line(cells: tuple[str, ...]) -> str:
    out = StringIO(newline="")
    csv.writer(out).writerow(cells)  # RFC 4180: commas, CR LF, quotes where needed
    return out.getvalue()
