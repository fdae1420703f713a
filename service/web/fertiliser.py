"""What urine is worth: its nutrients, the bought fertiliser it stands for, and money."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from flask import Blueprint, render_template, request

from service.agronomy.fertiliser import (
    Value,
    fertiliser_table,
    money,
    value_if_covered,
    value_on_surface,
)
from service.agronomy.rules import rules
from service.agronomy.tables import Origin
from service.web.form import Form
from service.web.here import here
from service.web.planting_words import how_had
from service.web.sentence import sentence

page = Blueprint("fertiliser", __name__)

MOST_LITRES = 1_000_000
MOST_N_KG = 10_000
MOST_PRICE = 1_000_000
LABELS = {
    "litres": sentence("Litres of urine"),
    "n_kg": sentence("Or kilograms of nitrogen"),
    "g_per_litre": sentence("Nitrogen in a litre"),
    "how": sentence("How is it poured?"),
    "price": sentence("Price of a kilogram of urea"),
}


class Way(StrEnum):
    """How it is poured, which decides how much of the nitrogen is lost to the air."""

    COVERED = "covered"
    SURFACE = "surface"


WAYS = {
    Way.COVERED: sentence("Covered with soil or watered in at once"),
    Way.SURFACE: sentence("Left on the ground"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What so many litres are worth; `low` and `high` are for the band of nitrogen contents."""

    litres: float
    g_per_litre: float
    low: Value
    value: Value
    high: Value
    price: float | None
    money: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Worth:
    """Litres that were given, the urea they stand for, and its price, None where not written."""

    litres: float
    urea_kg: float
    price: float | None
    money: Decimal | None


@page.get("/fertiliser")
def show() -> str | tuple[str, int]:
    """Work out what urine is worth; the question stands in the address, and nothing is kept."""
    form = Form.of(request.args, locale=here().tongue.locale)
    asked = any(form.value(name) for name in LABELS)
    answer = _answer(form) if asked else None
    shown = render_template(
        "fertiliser.html",
        form=form if asked else Form(locale=form.locale, typed={"how": Way.COVERED.value}),
        labels=LABELS,
        ways=[(way.value, here().tongue.say(words)) for way, words in WAYS.items()],
        answer=answer,
        rules=rules(),
        origins=_origins(),
        how_had=how_had,
    )
    return shown if form.sound else (shown, 422)


def price_of(form: Form) -> float | None:
    """Return the price of a kilogram of urea, None where none was written."""
    return form.number_or_blank("price", least=0, most=MOST_PRICE)


def worth_of(litres: float, price: float | None) -> Worth:
    """Return what so many litres, covered at once, are worth by the usual content."""
    value = value_if_covered(litres, n_g_per_litre=rules().usual_g_per_litre)
    return Worth(
        litres=litres,
        urea_kg=value.urea_kg,
        price=price,
        money=None if price is None else money(value.urea_kg, Decimal(str(price))),
    )


def _answer(form: Form) -> Answer | None:
    content = form.number_or_blank(
        "g_per_litre",
        least=rules().least_measured_g_per_litre,
        most=rules().most_measured_g_per_litre,
    )
    litres = form.number_or_blank("litres", least=0, most=MOST_LITRES)
    n_kg = form.number_or_blank("n_kg", least=0, most=MOST_N_KG)
    price = price_of(form)
    way = form.choice_or_blank("how", Way) or Way.COVERED
    if bool(form.value("litres")) == bool(form.value("n_kg")):
        form.refuse("litres", sentence("Write the litres, or the kilograms of nitrogen."))
    if not form.sound:
        return None
    g_per_litre = rules().usual_g_per_litre if content is None else content
    if n_kg is not None:
        litres = n_kg * 1_000 / g_per_litre
    return _worked_out(litres or 0.0, g_per_litre, way, price)


def _worked_out(litres: float, g_per_litre: float, way: Way, price: float | None) -> Answer:
    valued = value_if_covered if way is Way.COVERED else value_on_surface
    value = valued(litres, n_g_per_litre=g_per_litre)
    return Answer(
        litres=litres,
        g_per_litre=g_per_litre,
        low=valued(litres, n_g_per_litre=rules().low_g_per_litre),
        value=value,
        high=valued(litres, n_g_per_litre=rules().high_g_per_litre),
        price=price,
        money=None if price is None else money(value.urea_kg, Decimal(str(price))),
    )


def _origins() -> tuple[Origin, ...]:
    named = ("urea", "can", "urine-usual", "urine-high", "covered", "on-surface")
    table = fertiliser_table()
    found = [rules().origins["nitrogen"]]
    found += [
        table.products[name].origin if name in table.products else table.origins[name]
        for name in named
    ]
    return tuple(dict.fromkeys(found))
