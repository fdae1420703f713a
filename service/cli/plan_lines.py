"""The lines of the calculator's answer, each with what can be asked about it."""

import textwrap
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from service.agronomy.cutoff import CutoffRule
from service.agronomy.dose_days import DropReason
from service.agronomy.dosing import ml_per_plant, n_kg_per_ha
from service.agronomy.reasons import About, Subject
from service.agronomy.regimes import StoreReason, rest_rule
from service.agronomy.rules import rules
from service.agronomy.season_plan import SeasonWarning
from service.cli.plan_answer import REGIME_ASSUMED, PlanAnswer
from service.cli.why_words import written_day

WIDTH = 79
_DECIMALS = 3
_CUTOFF_RULES = {
    CutoffRule.SHARE_OF_SEASON: "by the share of the season",
    CutoffRule.ONE_MONTH: "one month before the first harvest",
}
_DROP_REASONS = {
    DropReason.AFTER_CUTOFF: "it falls after the last day",
    DropReason.HOLD: "rain hold",
    DropReason.NOT_READY: "no can was ready",
    DropReason.NO_PLANTING_DOSE: "this seed takes no dose at sowing",
    DropReason.SITE: "the ground waits until a person has looked",
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
_WARNED_OF = {
    SeasonWarning.OVER_3_L_PER_M2: About.TARGET,
    SeasonWarning.SHORTFALL: About.SHORTFALL,
    SeasonWarning.NO_DOSE_FITS: About.CUTOFF,
    StoreReason.STORE_UNKNOWN: About.CAN_REST,
    REGIME_ASSUMED: About.CAN_REST,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line, or a few that belong together, and the subjects that its figures are about."""

    text: str
    asked: tuple[Subject, ...] = ()


def _line(text: str, *abouts: About, number: int | None = None) -> Line:
    return Line(text=text, asked=tuple(Subject(about=about, number=number) for about in abouts))


def heading(answer: PlanAnswer) -> Iterator[Line]:
    """Yield the days of the season."""
    request, plan = answer.request, answer.plan
    up = "assumed: plan again with the real day" if plan.emergence_assumed else "reported"
    safe_on = answer.earliest_harvest_on
    yield _line(f"Plan for {request.crop.id} on {request.area_m2:g} m2", About.AREA)
    yield _line("")
    yield _line(f"Planted        {written_day(request.planted_on)}", About.PLANTED)
    yield _line(f"Plants up      {written_day(plan.emergence_on)}  ({up})", About.EMERGENCE)
    yield _line(
        f"First harvest  {written_day(plan.first_harvest_on)}  (season of {plan.season_days} days)",
        About.SEASON,
        About.FIRST_HARVEST,
    )
    yield _line(
        f"Last day       {written_day(plan.cutoff_on)}  ({_CUTOFF_RULES[plan.cutoff_rule]})",
        About.CUTOFF,
    )
    if safe_on is not None:
        yield _line(
            f"Harvest from   {written_day(safe_on)}  (30 days after the last dose, never earlier)",
            About.HARVEST,
        )


def doses(answer: PlanAnswer) -> Iterator[Line]:
    """Yield the table of doses and what it adds up to."""
    request, plan = answer.request, answer.plan
    if not plan.doses:
        return
    yield _line("Dose  Day               Litres of urine  Litres of water  Urine ml a plant")
    for dose in plan.doses:
        plant_ml = ml_per_plant(request.crop, litres=dose.litres, area_m2=request.area_m2)
        yield _line(
            f"{dose.number:>4}  {written_day(dose.due_on)}  {dose.litres:>15.3f}"
            f"  {dose.water_litres:>15.3f}  {plant_ml:>16.1f}",
            About.DOSE_DAY,
            About.DOSE_AMOUNT,
            About.DOSE_WATER,
            About.DOSE_PLANT,
            number=dose.number,
        )
    water_litres = sum(dose.water_litres for dose in plan.doses)
    yield _line(
        f"{'In all':<21}  {answer.urine_litres:>15.3f}  {water_litres:>15.3f}",
        About.TOTAL_URINE,
        About.TOTAL_WATER,
        About.TARGET,
        About.CAP,
        About.PLANTS,
    )
    yield _line("")
    yield _line(_spread(answer), About.SPREAD, About.NITROGEN)


def dropped(answer: PlanAnswer) -> Iterator[Line]:
    """Yield the doses that a rule took out, and the litres that find none."""
    plan = answer.plan
    if plan.dropped:
        yield _line("Dropped doses")
    for dose in plan.dropped:
        yield _line(
            f"{dose.number:>4}  {written_day(dose.due_on)}  {_DROP_REASONS[dose.reason]}",
            About.DOSE_DAY,
            About.DOSE_DROP,
            number=dose.number,
        )
    if round(plan.shortfall_litres, _DECIMALS) > 0:
        yield _line(
            f"      {plan.shortfall_litres:.3f} L of the {plan.target_litres:.3f} L"
            " wanted find no dose.",
            About.TARGET,
            About.CAP,
            About.SHORTFALL,
        )


def cans(answer: PlanAnswer) -> Iterator[Line]:
    """Yield how long cans rest, and when those that are sealed are ready."""
    rule = rest_rule(answer.regime)
    label = ", common practice" if rule.common_practice else ""
    yield _line(f"Cans rest {rule.rest_days} days ({answer.regime.value}{label})", About.CAN_REST)
    for number, can in enumerate(answer.cans, start=1):
        text = f"      sealed {written_day(can.sealed_on)}, ready {written_day(can.ready_on)}"
        yield _line(text, About.CAN_READY, number=number)


def warnings(answer: PlanAnswer) -> Iterator[Line]:
    """Yield what the asker should look at."""
    for code in answer.warnings:
        text = textwrap.fill(f"Warning: {_WARNINGS[code]}", WIDTH, subsequent_indent="  ")
        yield _line(text, _WARNED_OF[code])


def cautions(answer: PlanAnswer) -> Iterator[Line]:
    """Yield what everybody must hear."""
    yield _line("Mind")
    for number, caution in enumerate(answer.cautions, start=1):
        text = textwrap.fill(caution, WIDTH, initial_indent="- ", subsequent_indent="  ")
        yield _line(text, About.CAUTION, number=number)


BLOCKS: tuple[Callable[[PlanAnswer], Iterator[Line]], ...] = (
    heading,
    doses,
    dropped,
    cans,
    warnings,
    cautions,
)


def _spread(answer: PlanAnswer) -> str:
    spread, content = answer.litres_per_m2, answer.request.n_g_per_litre
    low, high = rules().low_g_per_litre, rules().high_g_per_litre
    least = n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=low)
    most = n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=high)
    return (
        f"That is {spread:.3f} L of urine on a square metre, or {answer.n_kg_per_ha:.0f} kg"
        f" of nitrogen on a hectare\n"
        f"at {content:g} g a litre ({least:.0f} to {most:.0f} kg at {low:g} to {high:g} g)."
    )
