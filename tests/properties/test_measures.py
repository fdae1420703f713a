"""Laws of a dose in the grower's measures: rounded down, nitrogen apart from the water."""

import random  # noqa: TID251 -- a fixed series of cases, the same in each run

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from service.agronomy.dosing import n_kg_per_ha
from service.agronomy.measures import (
    MeasureKind,
    OwnMeasures,
    Told,
    per_plant,
    per_row,
    rows_on,
    told,
    told_dose,
)

SLACK = 1 + 1e-9
SEED = 20_270_315
CANS: list[float | None] = [None, 3, 5, 10, 18.9, 20, 25]
BOTTLES: list[float | None] = [None, 330, 500, 1_000, 1_500]
CUPS: list[float | None] = [None, 100, 200, 250, 333]
OWN = st.builds(
    OwnMeasures,
    can_litres=st.sampled_from(CANS),
    bottle_ml=st.sampled_from(BOTTLES),
    cup_ml=st.sampled_from(CUPS),
)
LITRES = st.floats(0, 1_000)


def held(amount: Told, own: OwnMeasures) -> float:
    """Return what the fills of an amount hold."""
    sizes = {
        MeasureKind.CAN: own.can_litres or 0,
        MeasureKind.BOTTLE: (own.bottle_ml or 0) / 1_000,
        MeasureKind.CUP: (own.cup_ml or 0) / 1_000,
    }
    return sum(float(fill.times) * sizes[fill.kind] for fill in amount.fills)


@given(litres=st.lists(LITRES, max_size=7), own=OWN)
@example(litres=[0.3] * 7, own=OwnMeasures(cup_ml=100))
@example(litres=[21.43] * 7, own=OwnMeasures(can_litres=20, bottle_ml=1_500))
def test_a_seasons_rounded_doses_hold_no_more_than_exact_ones(
    litres: list[float], own: OwnMeasures
) -> None:
    assert sum(told(each, own).litres for each in litres) <= sum(litres) * SLACK + 1e-9


def test_ten_thousand_seasons_are_never_rounded_up() -> None:
    """A5: one fixed series of 10,000 households with one to seven doses each."""
    series = random.Random(SEED)  # noqa: S311 -- cases of a test, no secret

    for _ in range(10_000):
        own = OwnMeasures(
            can_litres=series.choice(CANS),
            bottle_ml=series.choice(BOTTLES),
            cup_ml=series.choice(CUPS),
        )
        exact = [series.uniform(0, 60) for _ in range(series.randint(1, 7))]

        rounded = [told(litres, own) for litres in exact]

        assert sum(each.litres for each in rounded) <= sum(exact) * SLACK, (own, exact)
        assert sum(held(each, own) for each in rounded) <= sum(exact) * SLACK, (own, exact)


@given(litres=LITRES, own=OWN)
def test_fills_hold_just_what_is_told(litres: float, own: OwnMeasures) -> None:
    amount = told(litres, own)

    if amount.fills:
        assert held(amount, own) == pytest.approx(amount.litres)


@given(litres=LITRES, own=OWN)
@example(litres=20, own=OwnMeasures(can_litres=20, bottle_ml=1_500))
@example(litres=40, own=OwnMeasures(can_litres=20, cup_ml=250))
def test_cans_stand_alone_only_where_there_is_no_other_measure(
    litres: float, own: OwnMeasures
) -> None:
    kinds = {fill.kind for fill in told(litres, own).fills}

    assert kinds != {MeasureKind.CAN} or (own.bottle_ml, own.cup_ml) == (None, None)


@given(litres=LITRES, ratio=st.floats(0, 10), own=OWN, area_m2=st.floats(1, 10_000))
@example(litres=0.3, ratio=2, own=OwnMeasures(), area_m2=1)
def test_nitrogen_on_a_square_metre_does_not_depend_on_the_water(
    litres: float, ratio: float, own: OwnMeasures, area_m2: float
) -> None:
    pure, mixed = (told_dose(litres, water_ratio=each, own=own) for each in (0, ratio))

    nitrogen = [
        n_kg_per_ha(litres_per_m2=dose.urine.litres / area_m2, n_g_per_litre=5)
        for dose in (pure, mixed)
    ]

    assert nitrogen[0] == nitrogen[1]
    assert pure.water.litres == 0


@given(litres=LITRES, ratio=st.floats(0, 10), own=OWN)
@example(litres=4.9, ratio=2, own=OwnMeasures(cup_ml=300))
def test_water_is_rounded_down_but_not_below_whole_parts(
    litres: float, ratio: float, own: OwnMeasures
) -> None:
    dose = told_dose(litres, water_ratio=ratio, own=own)

    assert dose.water.litres <= dose.urine.litres * ratio * SLACK + 1e-9
    assert dose.water.litres >= dose.urine.litres * int(ratio) - 1e-9


@given(litres=LITRES, ratio=st.floats(0, 10), plants=st.floats(1, 60_000))
def test_the_plants_together_get_no_more_than_the_dose(
    litres: float, ratio: float, plants: float
) -> None:
    dose = told_dose(litres, water_ratio=ratio, own=OwnMeasures())
    mix = dose.urine.litres + dose.water.litres

    share = per_plant(dose, plants=plants, cup_ml=250)

    assert share.urine_ml * plants / 1_000 <= dose.urine.litres * SLACK + 1e-6
    assert share.water_ml * plants / 1_000 <= dose.water.litres * SLACK + 1e-6
    if share.pace is not None:
        assert share.pace.cups / share.pace.plants * plants * 0.25 <= mix * SLACK + 1e-6


@given(
    litres=LITRES,
    area_m2=st.floats(1, 10_000),
    row_cm=st.floats(10, 400),
    length_m=st.floats(1, 100),
)
def test_the_rows_together_get_no_more_than_the_dose(
    litres: float, area_m2: float, row_cm: float, length_m: float
) -> None:
    dose = told_dose(litres, water_ratio=0, own=OwnMeasures())
    rows = rows_on(area_m2, row_cm=row_cm, row_length_m=length_m)

    share = per_row(dose, rows)

    assert (share.urine_litres or 0) * (rows.count or 0) <= dose.urine.litres * SLACK + 1e-6
    assert share.stretch_urine_litres * rows.all_m / share.stretch_m <= (
        dose.urine.litres * SLACK + 1e-6
    )
