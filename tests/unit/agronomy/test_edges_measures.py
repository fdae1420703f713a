"""An amount in the grower's own measures, where it stands at an edge."""

from fractions import Fraction

from service.agronomy.measures import (
    Fill,
    MeasureKind,
    OwnMeasures,
    Told,
    ToldDose,
    per_plant,
    rows_on,
    told,
    told_dose,
)


def cups(times: int) -> tuple[Fill, ...]:
    return (Fill(kind=MeasureKind.CUP, times=Fraction(times)),)


def test_a_can_that_holds_just_the_dose_is_told_as_one() -> None:
    found = told(20, OwnMeasures(can_litres=20))

    assert found == Told(litres=20, fills=(Fill(kind=MeasureKind.CAN, times=Fraction(1)),))


def test_thirty_fills_can_be_counted_and_more_cannot() -> None:
    """Project choice, no source: 30 fills at most."""
    sole, two = OwnMeasures(cup_ml=250), OwnMeasures(bottle_ml=1_500, cup_ml=250)

    assert told(7.5, sole).fills == cups(30)
    assert told(8, sole).fills == ()
    assert told(45, two).fills == (Fill(kind=MeasureKind.BOTTLE, times=Fraction(30)),)
    assert told(46.5, two).fills == ()


def test_thirty_cans_of_a_sole_can_are_told_as_cans() -> None:
    found = told(30, OwnMeasures(can_litres=1))

    assert found.fills == (Fill(kind=MeasureKind.CAN, times=Fraction(30)),)


def test_water_that_is_counted_on_keeps_to_the_whole_parts_of_a_broken_ratio() -> None:
    """16 cups of 0.3 L are 4.8 L; 2.05 times as much is told as 9.5 L, and 32 cups are 9.6."""
    dose = told_dose(4.9, water_ratio=2.05, own=OwnMeasures(cup_ml=300))

    assert (dose.urine.fills, dose.water.fills) == (cups(16), cups(32))


def test_a_share_that_comes_out_even_loses_nothing() -> None:
    dose = ToldDose(urine=Told(litres=1, fills=()), water=Told(litres=2, fills=()))

    share = per_plant(dose, plants=10, cup_ml=None)

    assert (share.urine_ml, share.water_ml) == (100, 200)


def test_a_bed_of_rows_a_metre_long_and_near_together_has_rows() -> None:
    rows = rows_on(1, row_cm=1, row_length_m=1)

    assert (rows.count, rows.all_m) == (100, 100)
