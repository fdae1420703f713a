"""What `furrowbell plan` answers: a season's plan with its cans, warnings and cautions. Pure."""

from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from service.agronomy.calendar import add_days
from service.agronomy.cautions import Occasion, caution_texts
from service.agronomy.crops import Crop
from service.agronomy.dosing import Season, litres_per_m2, n_kg_per_ha, usual_water_ratio
from service.agronomy.refusals import (
    check_area,
    check_crop,
    check_dates,
    check_drained,
    check_nitrogen,
    check_sealed,
    check_season_water,
    check_store,
    check_year,
)
from service.agronomy.regimes import Regime, StoreReason, ready_on, store_reason
from service.agronomy.rules import rules
from service.agronomy.season import SeasonFacts, Soil, plan_season
from service.agronomy.season_plan import SeasonPlan
from service.agronomy.withholding import earliest_harvest_on

REGIME_ASSUMED = "regime-assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRequest:
    """What somebody asks the calculator; None, or not told, where the rules choose."""

    crop: Crop
    planted_on: date
    emerged_on: date | None
    first_harvest_on: date | None
    season_days: int | None
    area_m2: float
    area_told: bool
    n_kg_per_ha: float | None
    n_g_per_litre: float
    content_told: bool
    season: Season
    season_told: bool
    water_ratio: float | None
    regime: Regime | None
    soil: Soil
    drained: bool
    store_c: float | None
    sealed_on: tuple[date, ...]
    fraction: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class RestingCan:
    """A sealed can and the first day it may be used, the store taken as warm enough."""

    sealed_on: date
    ready_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAnswer:
    """The plan and all that must be said with it; sums are of the doses listed."""

    request: PlanRequest
    regime: Regime
    facts: SeasonFacts
    plan: SeasonPlan
    cans: tuple[RestingCan, ...]
    urine_litres: float
    litres_per_m2: float
    n_kg_per_ha: float
    earliest_harvest_on: date | None
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]


def answer_plan(request: PlanRequest) -> PlanAnswer:
    """Return the answer to a request.

    Raises:
        RefusedError: with one of the codes of `service.agronomy.refusals`.
    """
    _check(request)
    regime = request.regime or Regime.GENERAL
    facts = _facts(request)
    plan = plan_season(facts)
    for sealed_on in request.sealed_on:
        check_sealed(sealed_on, first_harvest_on=plan.first_harvest_on)
    check_store(regime, store_c=request.store_c)
    urine_litres = sum((dose.litres for dose in plan.doses), start=0.0)
    spread = urine_litres / request.area_m2
    return PlanAnswer(
        request=request,
        regime=regime,
        facts=facts,
        plan=plan,
        cans=tuple(
            RestingCan(sealed_on=on, ready_on=ready_on(on, regime=regime))
            for on in request.sealed_on
        ),
        urine_litres=urine_litres,
        litres_per_m2=spread,
        n_kg_per_ha=n_kg_per_ha(litres_per_m2=spread, n_g_per_litre=request.n_g_per_litre),
        earliest_harvest_on=earliest_harvest_on(
            max((dose.due_on for dose in plan.doses), default=None)
        ),
        warnings=_warnings(request, regime, plan),
        cautions=caution_texts(_occasions(request, regime)),
    )


def _check(request: PlanRequest) -> None:
    check_crop(request.crop)
    check_drained(request.crop, drained=request.drained)
    told = (request.emerged_on, request.first_harvest_on)
    for day in (request.planted_on, *told, *request.sealed_on):
        if day is not None:
            check_year(day)
    season_days = request.season_days or request.crop.season_days
    check_dates(
        planted_on=request.planted_on,
        emerged_on=request.emerged_on,
        first_harvest_on=request.first_harvest_on,
        season_ends_on=add_days(request.planted_on, season_days),
    )
    check_area(request.area_m2)
    check_nitrogen(n_kg_per_ha=request.n_kg_per_ha, n_g_per_litre=request.n_g_per_litre)
    check_season_water(_water_ratio(request), request.season)


def _facts(request: PlanRequest) -> SeasonFacts:
    target = rules().litres_per_m2
    if request.n_kg_per_ha is not None:
        target = litres_per_m2(n_kg_per_ha=request.n_kg_per_ha, n_g_per_litre=request.n_g_per_litre)
    return SeasonFacts(
        crop=request.crop,
        planted_on=request.planted_on,
        area_m2=request.area_m2,
        litres_per_m2=target,
        soil=request.soil,
        emerged_on=request.emerged_on,
        first_harvest_on=request.first_harvest_on,
        season_days=request.season_days,
        fraction=request.fraction,
        water_ratio=_water_ratio(request),
        water_chosen=request.water_ratio,
    )


def _water_ratio(request: PlanRequest) -> float:
    chosen = request.water_ratio
    return usual_water_ratio(request.season) if chosen is None else chosen


def _warnings(request: PlanRequest, regime: Regime, plan: SeasonPlan) -> tuple[str, ...]:
    found = [warning.value for warning in plan.warnings]
    reason = store_reason(regime, store_c=request.store_c)
    if reason is StoreReason.STORE_UNKNOWN:
        found.append(reason.value)
    if request.regime is None:
        found.append(REGIME_ASSUMED)
    return tuple(found)


def _occasions(request: PlanRequest, regime: Regime) -> frozenset[Occasion]:
    store_c, crop = request.store_c, request.crop
    cold = store_c is not None and not store_c >= rules().least_store_celsius
    said = {
        Occasion.SOLD: regime in (Regime.SOLD_ANY, Regime.SOLD_PROCESSED),
        Occasion.OWN_HOUSEHOLD: regime is Regime.OWN_HOUSEHOLD,
        Occasion.EATEN_RAW: crop.eaten_raw,
        Occasion.POOR_SOIL: request.soil is not Soil.NORMAL,
        Occasion.COLD_STORE: cold,
        Occasion.ASSUMED_EMERGENCE: request.emerged_on is None and not crop.transplanted,
        Occasion.TINY_SEED: not crop.planting_dose,
    }
    return frozenset(occasion for occasion, holds in said.items() if holds)
