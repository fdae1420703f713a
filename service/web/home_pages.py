"""Two pages of a household that stand apart: all its jobs in full, and its cans against need."""

from flask import Blueprint, render_template

from service.records.household_list import HouseholdLine
from service.records.household_page import household_by_id
from service.web.here import here
from service.web.home_store import HomeStore, store_now
from service.web.next_job import next_panel
from service.web.paging import asked_page, pages_of
from service.web.planting_words import how_had
from service.web.stock_sheet import stock_sheet
from service.web.stock_turns import letters_of, stock_turns

page = Blueprint("home", __name__)

JOBS_A_PAGE = 5  # eight in full would be too heavy for a slow line
CANS_SHOWN = 12


@page.get("/households/<id:household_id>/next")
def show_next(household_id: int) -> str:
    """Show what comes next on each plot of a household, every plot in full."""
    line, store = _look(household_id)
    panel = next_panel(store)
    last = pages_of(len(panel.jobs), 1, size=JOBS_A_PAGE).last
    pages = pages_of(len(panel.jobs), min(asked_page(), last), size=JOBS_A_PAGE)
    first = (pages.number - 1) * JOBS_A_PAGE
    return render_template(
        "households/next_page.html",
        line=line,
        panel=panel,
        jobs=panel.jobs[first : first + JOBS_A_PAGE],
        pages=pages,
    )


@page.get("/households/<id:household_id>/stock")
def stock(household_id: int) -> str:
    """Show what a household's cans hold, and what each dose to come gets of it."""
    line, store = _look(household_id)
    return render_template(
        "households/stock.html",
        line=line,
        stand=stock_sheet(store),
        most=CANS_SHOWN,
        turns=stock_turns(
            store.stock,
            letters=letters_of(store.planned),
            cans=store.numbers,
            day=here().tongue.short_day,
        ),
        had=how_had,
    )


def _look(household_id: int) -> tuple[HouseholdLine, HomeStore]:
    asked = here()
    with asked.reading() as session:
        line = household_by_id(session, asked.association_id, household_id)
        return line, store_now(session, asked.association_id, line.household, today=asked.today)
