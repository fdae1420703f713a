"""The calculator's answer for people, within 80 columns."""

import textwrap
from collections.abc import Iterator
from datetime import date

from service.agronomy.cutoff import CutoffRule
from service.agronomy.dose_days import DropReason
from service.agronomy.dosing import ml_per_plant, n_kg_per_ha
from service.agronomy.regimes import StoreReason, rest_rule
from service.agronomy.rules import rules
from service.agronomy.season import SeasonWarning
from service.cli.plan_answer import REGIME_ASSUMED, PlanAnswer

_WIDTH = 79
_DECIMALS = 3
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_CUTOFF_RULES = {
    CutoffRule.SHARE_OF_SEASON: "by the share of the season",
    CutoffRule.ONE_MONTH: "one month before the first harvest",
}
_DROP_REASONS = {
    DropReason.AFTER_CUTOFF: "it falls after the last day",
    DropReason.HOLD: "rain hold",
    DropReason.NOT_READY: "no can was ready",
    DropReason.NO_PLANTING_DOSE: "this seed takes no dose at sowing",
}
_WARNINGS = {
    SeasonWarning.OVER_3_L_PER_M2: "More than twice the usual amount: check the target.",
    SeasonWarning.SHORTFALL: "The doses left cannot hold the whole target; do not pour more.",
    SeasonWarning.NO_DOSE_FITS: "No dose fits before the last day: work urine into the bed a"
    " month or more before the first cut, or use it for another crop.",
    StoreReason.STORE_UNKNOWN: "The store's temperature is not known: the cans' days hold only"
    " at a mean of 20 degrees or more.",
    REGIME_ASSUMED: "Nobody said who eats the crop, so it was taken to be your own household:"
    " say it with --regime.",
}


def plan_text(answer: PlanAnswer) -> str:
    """Return the answer as lines of text."""
    parts = (_heading, _doses, _dropped, _cans, _warnings, _cautions)
    return "\n\n".join(block for part in parts if (block := "\n".join(part(answer))))


def _day(day: date) -> str:
    return f"{_WEEKDAYS[day.weekday()]} {day.day:>2} {_MONTHS[day.month - 1]} {day.year}"


def _heading(answer: PlanAnswer) -> Iterator[str]:
    request, plan = answer.request, answer.plan
    up = "assumed: plan again with the real day" if plan.emergence_assumed else "reported"
    safe_on = answer.earliest_harvest_on
    yield f"Plan for {request.crop.id} on {request.area_m2:g} m2"
    yield ""
    yield f"Planted        {_day(request.planted_on)}"
    yield f"Plants up      {_day(plan.emergence_on)}  ({up})"
    yield f"First harvest  {_day(plan.first_harvest_on)}  (season of {plan.season_days} days)"
    yield f"Last day       {_day(plan.cutoff_on)}  ({_CUTOFF_RULES[plan.cutoff_rule]})"
    if safe_on is not None:
        yield f"Harvest from   {_day(safe_on)}  (30 days after the last dose, never earlier)"


def _doses(answer: PlanAnswer) -> Iterator[str]:
    request, plan = answer.request, answer.plan
    if not plan.doses:
        return
    yield "Dose  Day               Litres of urine  Litres of water  Urine ml a plant"
    for dose in plan.doses:
        plant_ml = ml_per_plant(request.crop, litres=dose.litres, area_m2=request.area_m2)
        yield (
            f"{dose.number:>4}  {_day(dose.due_on)}  {dose.litres:>15.3f}"
            f"  {dose.water_litres:>15.3f}  {plant_ml:>16.1f}"
        )
    water_litres = sum(dose.water_litres for dose in plan.doses)
    yield f"{'In all':<21}  {answer.urine_litres:>15.3f}  {water_litres:>15.3f}"
    yield ""
    spread, content = answer.litres_per_m2, request.n_g_per_litre
    yield (
        f"That is {spread:.3f} L of urine on a square metre, or {answer.n_kg_per_ha:.0f} kg"
        f" of nitrogen on a hectare"
    )
    low, high = rules().low_g_per_litre, rules().high_g_per_litre
    least = n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=low)
    most = n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=high)
    yield (f"at {content:g} g a litre ({least:.0f} to {most:.0f} kg at {low:g} to {high:g} g).")


def _dropped(answer: PlanAnswer) -> Iterator[str]:
    if answer.plan.dropped:
        yield "Dropped doses"
    for dose in answer.plan.dropped:
        yield f"{dose.number:>4}  {_day(dose.due_on)}  {_DROP_REASONS[dose.reason]}"
    if round(answer.plan.shortfall_litres, _DECIMALS) > 0:
        yield (
            f"      {answer.plan.shortfall_litres:.3f} L of the {answer.plan.target_litres:.3f} L"
            " wanted find no dose."
        )


def _cans(answer: PlanAnswer) -> Iterator[str]:
    rule = rest_rule(answer.regime)
    label = ", common practice" if rule.common_practice else ""
    yield f"Cans rest {rule.rest_days} days ({answer.regime.value}{label})"
    for can in answer.cans:
        yield f"      sealed {_day(can.sealed_on)}, ready {_day(can.ready_on)}"


def _warnings(answer: PlanAnswer) -> Iterator[str]:
    for code in answer.warnings:
        yield textwrap.fill(f"Warning: {_WARNINGS[code]}", _WIDTH, subsequent_indent="  ")


def _cautions(answer: PlanAnswer) -> Iterator[str]:
    yield "Mind"
    for text in answer.cautions:
        yield textwrap.fill(text, _WIDTH, initial_indent="- ", subsequent_indent="  ")
