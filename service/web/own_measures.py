"""A dose in the grower's own measures: fills of a can or bottle, by plant and by row."""

import re
from collections.abc import Iterator
from fractions import Fraction

from service.agronomy.dosing import Pace, plants_on
from service.agronomy.measures import (
    Fill,
    MeasureKind,
    OwnMeasures,
    Rows,
    Told,
    ToldDose,
    per_plant,
    per_row,
    rows_on,
    told_dose,
)
from service.confirmations.plot_state import PlotState
from service.planning.season_facts import figures_of
from service.web.sentence import Sentence, sentence

_ROWS = re.compile(r"[0-9.]+ rows x (?P<length>[0-9.]+) m, (?P<apart>[0-9.]+) cm apart")


def own_measures(
    state: PlotState, *, litres: float, water_ratio: float, can_litres: float | None, what: str
) -> list[Sentence]:
    """Return a dose as its grower measures it out.

    Args:
        state: the planting it is for.
        litres: of the dose, water not counted.
        water_ratio: parts of water to one.
        can_litres: the volume of the can it comes from, None where cans differ.
        what: the word for what is poured.
    """
    exact = ToldDose(
        urine=Told(litres=litres, fills=()), water=Told(litres=litres * water_ratio, fills=())
    )
    bottle_ml = state.bundle.household.bottle_ml
    # nobody was asked for the usual cup, so it does not keep a can from being the only measure
    own = OwnMeasures(can_litres=can_litres, bottle_ml=bottle_ml, cup_ml=None)
    told = told_dose(litres, water_ratio=water_ratio, own=own)
    return [
        *_fills(told, litres, bottle_ml),
        *_each_plant(state, exact, what),
        *_each_row(state, exact, what),
    ]


def _fills(told: ToldDose, litres: float, bottle_ml: int | None) -> Iterator[Sentence]:
    if not told.urine.fills:
        return
    fills = _in_fills(told.urine.fills, bottle_ml)
    if told.urine.litres == litres:
        yield sentence("That is %(fills)s.", fills=fills)
    elif told.urine.fills[0].kind is MeasureKind.CAN:
        yield sentence(
            "By the can alone: %(fills)s, %(litres)s L.", fills=fills, litres=told.urine.litres
        )
    else:
        yield sentence(
            "By the bottle alone: %(fills)s, %(litres)s L.", fills=fills, litres=told.urine.litres
        )
    if told.water.fills:
        yield sentence("Water: %(fills)s.", fills=_in_fills(told.water.fills, bottle_ml))


def _in_fills(fills: tuple[Fill, ...], bottle_ml: int | None) -> Sentence:
    first, *rest = [_one_fill(fill, bottle_ml) for fill in fills]
    for other in rest:
        first = sentence("%(first)s and %(other)s", first=first, other=other)
    return first


def _one_fill(fill: Fill, bottle_ml: int | None) -> Sentence:
    times = _written(fill.times)
    match fill.kind, fill.times <= 1:
        case MeasureKind.CAN, True:
            return sentence("%(times)s can", times=times)
        case MeasureKind.CAN, False:
            return sentence("%(times)s cans", times=times)
        case _, True:
            return sentence("%(times)s bottle of %(ml)s mL", times=times, ml=bottle_ml)
        case _:
            return sentence("%(times)s bottles of %(ml)s mL", times=times, ml=bottle_ml)


def _written(times: Fraction) -> str:
    whole, part = divmod(times, 1)
    return " ".join(str(each) for each in (whole, part) if each) or "0"


def _each_plant(state: PlotState, dose: ToldDose, what: str) -> Iterator[Sentence]:
    bundle = state.bundle
    plants = plants_on(
        figures_of(bundle).crop,
        bundle.plot.area_m2,
        row_cm=bundle.planting.row_cm,
        plant_cm=bundle.planting.plant_cm,
    )
    each = per_plant(dose, plants=plants, cup_ml=bundle.household.cup_ml)
    values = {"ml": each.urine_ml, "what": what, "water": each.water_ml}
    if each.water_ml:
        yield sentence("Each plant: %(ml)s mL of %(what)s and %(water)s mL of water.", **values)
    else:
        yield sentence("Each plant: %(ml)s mL of %(what)s.", **values)
    if each.pace is not None:
        cups = sentence("Cups of %(ml)s mL", ml=bundle.household.cup_ml)
        if each.water_ml:
            cups = sentence("Cups of %(ml)s mL, both mixed", ml=bundle.household.cup_ml)
        yield _paced(cups, each.pace)


def _paced(cups: Sentence, pace: Pace) -> Sentence:
    if pace.plants == 1:
        return sentence("%(cups)s: %(number)s for each plant.", cups=cups, number=pace.cups)
    return sentence(
        "%(cups)s: %(number)s for every %(plants)s plants.",
        cups=cups,
        number=pace.cups,
        plants=pace.plants,
    )


def _each_row(state: PlotState, dose: ToldDose, what: str) -> Iterator[Sentence]:
    rows = _rows(state)
    share = per_row(dose, rows)
    litres, water = share.urine_litres, share.water_litres
    length: float | None = rows.length_m
    if litres is None or water is None or length is None:
        litres, water = share.stretch_urine_litres, share.stretch_water_litres
        length = share.stretch_m
    values = {"metres": length, "litres": litres, "what": what, "water": water}
    if litres and water:
        yield sentence(
            "For %(metres)s m of row: %(litres)s L of %(what)s and %(water)s L of water.", **values
        )
    elif litres:
        yield sentence("For %(metres)s m of row: %(litres)s L of %(what)s.", **values)


def _rows(state: PlotState) -> Rows:
    """Return a plot's rows: as they were counted, else by the usual distance."""
    plot, row_cm = state.bundle.plot, state.bundle.planting.row_cm
    counted = _ROWS.fullmatch(plot.measured or "")
    usual_cm = row_cm or figures_of(state.bundle).crop.row_cm
    if counted is None:
        return rows_on(plot.area_m2, row_cm=usual_cm, row_length_m=None)
    return rows_on(
        plot.area_m2, row_cm=float(counted["apart"]), row_length_m=float(counted["length"])
    )
