"""A dose in the grower's own measures."""

from fractions import Fraction

import pytest

from service.agronomy.dosing import Pace
from service.agronomy.measures import (
    Fill,
    MeasureKind,
    OwnMeasures,
    Rows,
    Told,
    ToldDose,
    load_measure_rules,
    measure_rules,
    per_plant,
    per_row,
    rows_on,
    told,
    told_dose,
)
from service.agronomy.tables import TableError, table_text

CAN, BOTTLE, CUP = MeasureKind.CAN, MeasureKind.BOTTLE, MeasureKind.CUP
CAN_AND_BOTTLE = OwnMeasures(can_litres=20, bottle_ml=1_500)
ALL_THREE = OwnMeasures(can_litres=20, bottle_ml=1_500, cup_ml=250)
CAN_ONLY = OwnMeasures(can_litres=20)
NOTHING = OwnMeasures()


def fills(*pairs: tuple[MeasureKind, float | Fraction]) -> tuple[Fill, ...]:
    return tuple(Fill(kind=kind, times=Fraction(times)) for kind, times in pairs)


def litres_only(urine: float, water: float = 0) -> ToldDose:
    return ToldDose(urine=Told(litres=urine, fills=()), water=Told(litres=water, fills=()))


def test_with_a_can_and_a_bottle_litres_are_told() -> None:
    """A5: 21.43 L with a can of 20 L and a bottle of 1.5 L are 21 L; 14 bottles are just that."""
    amount = told(21.43, CAN_AND_BOTTLE)

    assert (amount.litres, amount.fills) == (21, fills((BOTTLE, 14)))


def test_cans_stand_alone_only_where_a_can_is_the_sole_measure() -> None:
    """A5: 20 L are one can for one household and 20 L for another."""
    assert told(20.4, CAN_ONLY) == Told(litres=20, fills=fills((CAN, 1)))
    assert told(20.4, CAN_AND_BOTTLE) == Told(litres=20, fills=())


@pytest.mark.parametrize(
    ("litres", "expected", "found"),
    [
        pytest.param(23.2, 23, fills((CAN, 1), (BOTTLE, 2)), id="can and bottles"),
        pytest.param(21.43, 21, fills((CAN, 1), (CUP, 4)), id="can and cups"),
        pytest.param(22.3, 22, fills((CAN, 1), (BOTTLE, 1), (CUP, 2)), id="all three"),
        pytest.param(10.71, 10.5, fills((BOTTLE, 7)), id="bottles"),
        pytest.param(1.4, 1.25, fills((CUP, 5)), id="cups"),
        pytest.param(0.3, 0.3, (), id="no fill holds it"),
        pytest.param(0, 0, (), id="nothing"),
    ],
)
def test_fills_stand_only_where_they_hold_what_is_told(
    litres: float, expected: float, found: tuple[Fill, ...]
) -> None:
    assert told(litres, ALL_THREE) == Told(litres=expected, fills=found)


@pytest.mark.parametrize(
    ("litres", "own", "expected", "found"),
    [
        pytest.param(21.43, CAN_ONLY, 20, fills((CAN, 1)), id="a can"),
        pytest.param(10.71, CAN_ONLY, 10, fills((CAN, Fraction(1, 2))), id="half a can"),
        pytest.param(27, CAN_ONLY, 25, fills((CAN, Fraction(5, 4))), id="a can and a quarter"),
        pytest.param(4.9, CAN_ONLY, 4.5, (), id="less than a quarter of a can"),
        pytest.param(
            1.4, OwnMeasures(bottle_ml=1_500), 0.75, fills((BOTTLE, Fraction(1, 2))), id="bottle"
        ),
        pytest.param(0.4, OwnMeasures(cup_ml=250), 0.375, fills((CUP, Fraction(3, 2))), id="cup"),
        pytest.param(21.43, OwnMeasures(cup_ml=250), 21, (), id="too many cups to count"),
        pytest.param(21.43, NOTHING, 21, (), id="no measure"),
    ],
)
def test_a_sole_measure_is_told_in_parts_that_can_be_judged(
    litres: float, own: OwnMeasures, expected: float, found: tuple[Fill, ...]
) -> None:
    """Project choice, no source: quarters of a can, halves of a bottle or cup, 30 fills at most."""
    assert told(litres, own) == Told(litres=expected, fills=found)


def test_urine_and_water_are_two_numbers() -> None:
    dose = told_dose(10.71, water_ratio=3, own=ALL_THREE)

    assert dose.urine == Told(litres=10.5, fills=fills((BOTTLE, 7)))
    assert dose.water == Told(litres=31.5, fills=fills((CAN, 1), (BOTTLE, 7), (CUP, 4)))


def test_no_water_is_told_as_none() -> None:
    assert told_dose(10.71, water_ratio=0, own=ALL_THREE).water == Told(litres=0, fills=())


def test_rounding_never_takes_water_below_the_whole_parts_of_the_ratio() -> None:
    """Common practice, no source: 2 parts in the dry season; 0.3 L take 0.6 L and not 0.5."""
    dose = told_dose(0.3, water_ratio=2, own=NOTHING)

    assert (dose.urine.litres, dose.water.litres) == (0.3, 0.6)


def test_more_water_than_whole_parts_is_rounded_down() -> None:
    """0.75 L of urine and 2.2 times as much water: 1.65 L are two quarters of a can of 3 L."""
    dose = told_dose(0.8, water_ratio=2.2, own=OwnMeasures(can_litres=3))

    assert dose.urine == Told(litres=0.75, fills=fills((CAN, Fraction(1, 4))))
    assert dose.water == Told(litres=1.5, fills=fills((CAN, Fraction(1, 2))))


def test_water_is_counted_on_where_its_litres_would_be_too_few() -> None:
    """16 cups of 0.3 L are 4.8 L; of water 9.5 L would be told, and 32 cups are 9.6."""
    dose = told_dose(4.9, water_ratio=2, own=OwnMeasures(cup_ml=300))

    assert dose.urine.fills == fills((CUP, 16))
    assert dose.water.litres == pytest.approx(9.6)
    assert dose.water.fills == fills((CUP, 32))


def test_a_plants_share_is_told_apart_for_urine_and_water() -> None:
    """10.5 L for 533 plants are 19.7 ml, 31.5 L are 59.1 ml; 0.315 cups of 250 ml."""
    share = per_plant(litres_only(10.5, 31.5), plants=533.3, cup_ml=250)

    assert (share.urine_ml, share.water_ml) == (19, 59)
    assert share.pace == Pace(cups=3, plants=10)
    assert per_plant(litres_only(10.5), plants=533.3, cup_ml=None).pace is None


def test_ground_for_less_than_one_plant_bears_one() -> None:
    share = per_plant(litres_only(1.5), plants=0.1, cup_ml=500)

    assert (share.urine_ml, share.pace) == (1_500, Pace(cups=3, plants=1))


def test_a_share_needs_plants() -> None:
    with pytest.raises(ValueError, match="needs plants"):
        per_plant(litres_only(1), plants=0, cup_ml=None)


def test_rows_follow_from_the_ground_and_their_distance() -> None:
    """100 m2 at 75 cm are 133.3 m of row: 14 rows of 10 m, the last a short one."""
    rows = rows_on(100, row_cm=75, row_length_m=10)

    assert (rows.count, rows.length_m) == (14, 10)
    assert rows.all_m == pytest.approx(133.33, abs=0.01)
    assert rows_on(90, row_cm=75, row_length_m=12).count == 10


@pytest.mark.parametrize(("row_cm", "length_m"), [(0, 10), (75, 0), (float("nan"), None)])
def test_rows_need_a_distance_and_a_length(row_cm: float, length_m: float | None) -> None:
    with pytest.raises(ValueError, match="a distance and a length"):
        rows_on(100, row_cm=row_cm, row_length_m=length_m)


def test_a_row_gets_its_part_rounded_down() -> None:
    """21 L over 14 rows are 1.5 L; 42 L are 3 L; 10 m of 133.3 m get 1.57 and 3.15 L."""
    share = per_row(litres_only(21, 42), rows_on(100, row_cm=75, row_length_m=10))

    assert (share.urine_litres, share.water_litres) == (1.5, 3)
    assert (share.stretch_m, share.stretch_urine_litres, share.stretch_water_litres) == (
        10,
        1.5,
        3,
    )


def test_where_rows_were_not_counted_a_stretch_is_told() -> None:
    share = per_row(litres_only(21, 42), rows_on(100, row_cm=75, row_length_m=None))

    assert (share.urine_litres, share.water_litres) == (None, None)
    assert share.stretch_urine_litres == 1.5


def test_less_row_than_a_stretch_gets_the_dose() -> None:
    share = per_row(litres_only(3), Rows(count=None, length_m=None, all_m=4))

    assert share.stretch_urine_litres == 3


def test_every_figure_of_measuring_names_its_source() -> None:
    assert all(origin.source for origin in measure_rules().origins.values())


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        pytest.param("[count]", "[earl]", "missing or not known: count, earl.", id="table"),
        pytest.param("most = 30", "", "measures.toml, count: add most.", id="key"),
        pytest.param("can_parts = 4", "can_parts = 0", "must be more than 0.", id="no parts"),
        pytest.param("metres = 10", "metres = 0", "must be more than 0.", id="no stretch"),
    ],
)
def test_a_wrong_table_of_measures_stops_the_load(old: str, new: str, sentence: str) -> None:
    with pytest.raises(TableError) as refused:
        load_measure_rules(table_text("measures.toml").replace(old, new))

    assert refused.value.sentence.endswith(sentence)
