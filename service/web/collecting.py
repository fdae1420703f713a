"""When to start collecting and to seal: for the doses to come, and for any litres by a day."""

from dataclasses import dataclass, replace
from datetime import date

from flask import Blueprint, render_template, request

from service.agronomy.collect_plan import Means
from service.agronomy.regimes import Regime, rest_rule
from service.agronomy.rules import rules
from service.agronomy.supply import supply_rules
from service.agronomy.tables import Origin
from service.records.household_page import household_by_id
from service.records.locality_book import locality_book
from service.web.collecting_sheet import (
    EaterPlan,
    asked_plans,
    doses_sheet,
    means_of,
    people_litres,
)
from service.web.form import Form
from service.web.here import here
from service.web.home_store import HomeStore, store_now
from service.web.planting_words import how_had
from service.web.sentence import sentence

page = Blueprint("collecting", __name__)

LABELS = {
    "litres": sentence("Litres"),
    "by": sentence("Ready on"),
}
MOST_LITRES = 10_000  # more than a household collects in ten years


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """So many litres, to be ready on a day."""

    litres: float
    by: date


@page.get("/households/<id:household_id>/collecting")
def show(household_id: int) -> str | tuple[str, int]:
    """Show when to collect and seal; a question may stand in the address, and nothing is kept."""
    asked = here()
    tenant = asked.association_id
    with asked.reading() as session:
        line = household_by_id(session, tenant, household_id)
        store = store_now(session, tenant, line.household, today=asked.today)
        store_c = locality_book(session, tenant).store_c.get(line.household.area_id)
    means = means_of(store, store_c=store_c)
    form = Form.of(request.args, locale=asked.tongue.locale)
    question = _question(form)
    shown = render_template(
        "collecting/show.html",
        line=line,
        litres=people_litres(line.household),
        means=means,
        has_cans=bool(store.cans),
        collect=doses_sheet(store, means),
        question=question,
        answers=() if question is None else _answers(store, means, question),
        form=form,
        labels=LABELS,
        origins=_origins(),
        how_had=how_had,
    )
    return shown if form.sound else (shown, 422)


def _question(form: Form) -> Question | None:
    if not (form.value("litres") or form.value("by")):
        return None
    litres = form.number("litres", least=1, most=MOST_LITRES)
    by = form.day("by")
    return None if litres is None or by is None else Question(litres=litres, by=by)


def _answers(store: HomeStore, means: Means, question: Question) -> tuple[EaterPlan, ...]:
    # the question is about new cans: those sealed already serve the doses of the plan
    return asked_plans(
        question.litres,
        question.by,
        means=replace(means, stocks=(), filling_litres=0.0),
        household=store.household,
        today=store.today,
    )


def _origins() -> tuple[Origin, ...]:
    found = [
        *supply_rules().origins.values(),
        *(rest_rule(regime).origin for regime in Regime),
        rules().origins["store"],
    ]
    return tuple(dict.fromkeys(found))
