"""`furrowbell plan`: the calculator for anyone with a shell; no settings, no database."""

from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from datetime import date
from fractions import Fraction
from typing import TypedDict, Unpack

import click

from service.agronomy.crops import crop
from service.agronomy.dosing import Season
from service.agronomy.refusal_origins import refusal_origin
from service.agronomy.regimes import Regime
from service.agronomy.rules import rules
from service.agronomy.season import Soil
from service.cli.plan_answer import PlanRequest, answer_plan
from service.cli.plan_json import plan_json
from service.cli.plan_text import plan_text
from service.cli.plan_why import explain_answer
from service.cli.refusal import RefusingCommand
from service.cli.values import IsoDate, SeasonShare
from service.errors import RefusedError

_LONGEST_SEASON_DAYS = 730
_COLDEST_C, _HOTTEST_C = -30, 60
_USUAL_AREA_M2 = 100.0


class PlanOptions(TypedDict):
    """The command's options as click hands them over."""

    crop_id: str
    planted: date
    emerged: date | None
    first_harvest: date | None
    season_days: int | None
    area_m2: float | None
    n_kg_ha: float | None
    n_g_l: float | None
    season: str | None
    water_ratio: float | None
    regime: str | None
    soil: str
    drained: bool
    store_c: float | None
    sealed: tuple[date, ...]
    fraction: Fraction | None
    output_format: str
    why: bool


def _one_of(words: type[Season | Regime | Soil]) -> click.Choice[str]:
    return click.Choice([word.value for word in words])


@click.command("plan", cls=RefusingCommand)
@click.option("--crop", "crop_id", required=True, help="Crop, as maize-grain.")
@click.option("--planted", type=IsoDate(), required=True, help="Day of sowing or planting out.")
@click.option("--emerged", type=IsoDate(), help="Day the plants were up; assumed if not given.")
@click.option("--first-harvest", type=IsoDate(), help="Day of the first harvest or picking.")
@click.option(
    "--season-days", type=click.IntRange(1, _LONGEST_SEASON_DAYS), help="Days to the last harvest."
)
@click.option("--area-m2", type=float, help="Area in square metres; 100 if not given.")
@click.option("--n-kg-ha", type=float, help="Local nitrogen target in kg a hectare.")
@click.option("--n-g-l", type=float, help="Nitrogen of the urine in g a litre; 5 if not given.")
@click.option("--season", type=_one_of(Season), help="dry if not given.")
@click.option("--water-ratio", type=float, help="Parts of water to one of urine.")
@click.option("--regime", type=_one_of(Regime), help="Who eats the crop; general if not given.")
@click.option("--soil", type=_one_of(Soil), default="normal", help="normal if not given.")
@click.option("--drained", is_flag=True, help="The ground is drained or upland.")
@click.option(
    "--store-c",
    type=click.FloatRange(_COLDEST_C, _HOTTEST_C),
    help="Mean temperature of the store in degrees Celsius.",
)
@click.option("--sealed", type=IsoDate(), multiple=True, help="Day a can was sealed; repeatable.")
@click.option("--fraction", type=SeasonShare(), help="Part of the season with doses, 2/3 to 3/4.")
@click.option("--format", "output_format", type=click.Choice(["text", "json"]), default="text")
@click.option("--why", is_flag=True, help="Say for each day and amount why, with its source.")
def plan_command(**given: Unpack[PlanOptions]) -> None:
    """Say when a crop takes a dose of stored urine, how much, and when to harvest."""
    request = _request(given)
    with _sourced(request) if given["why"] else nullcontext():
        answer = answer_plan(request)
    why = explain_answer(answer) if given["why"] else None
    show = plan_json if given["output_format"] == "json" else plan_text
    click.echo(show(answer, why))


@contextmanager
def _sourced(request: PlanRequest) -> Iterator[None]:
    try:
        yield
    except RefusedError as error:
        origin = refusal_origin(error.code, request.crop)
        if origin is None:
            raise
        sourced = f"{error.sentence} Source: {origin.source} ({origin.found.value})."
        raise RefusedError(error.code, sourced) from error


def _request(given: PlanOptions) -> PlanRequest:
    content, regime = given["n_g_l"], given["regime"]
    area_m2, season = given["area_m2"], given["season"]
    return PlanRequest(
        crop=crop(given["crop_id"]),
        planted_on=given["planted"],
        emerged_on=given["emerged"],
        first_harvest_on=given["first_harvest"],
        season_days=given["season_days"],
        area_m2=_USUAL_AREA_M2 if area_m2 is None else area_m2,
        area_told=area_m2 is not None,
        n_kg_per_ha=given["n_kg_ha"],
        n_g_per_litre=rules().usual_g_per_litre if content is None else content,
        content_told=content is not None,
        season=Season.DRY if season is None else Season(season),
        season_told=season is not None,
        water_ratio=given["water_ratio"],
        regime=None if regime is None else Regime(regime),
        soil=Soil(given["soil"]),
        drained=given["drained"],
        store_c=given["store_c"],
        sealed_on=given["sealed"],
        fraction=given["fraction"] or rules().least_share,
    )
