"""A plot's area from square metres, steps or rows; the sums are done by hand."""

import pytest

from service.enrolment.faults import Fault
from service.enrolment.ground import Area, Ground, Rows, SquareMetres, Steps, area_of

NAN = float("nan")


@pytest.mark.parametrize(
    ("ground", "m2", "measured"),
    [
        # 20 x 0.75 = 15 m, 12 x 0.75 = 9 m, 15 x 9 = 135
        (Steps(steps_along=20, steps_across=12), 135, "20 x 12 steps of 0.75 m"),
        (Steps(steps_along=10, steps_across=10, step_m=0.5), 25, "10 x 10 steps of 0.5 m"),
        # 8 rows of 12.5 m are 100 m of row, each 0.75 m wide
        (
            Rows(row_count=8, row_length_m=12.5, row_apart_cm=75),
            75,
            "8 rows x 12.5 m, 75 cm apart",
        ),
        (SquareMetres(area_m2=10_000), 10_000, ""),
        (SquareMetres(area_m2=1), 1, ""),
    ],
    ids=["steps", "short steps", "rows", "the largest", "the smallest"],
)
def test_an_area_follows_from_how_it_was_measured(ground: Ground, m2: float, measured: str) -> None:
    assert area_of(ground) == Area(m2=m2, measured=measured)


@pytest.mark.parametrize(
    ("ground", "refused"),
    [
        (SquareMetres(area_m2=0.5), [("area_m2", "area")]),
        (SquareMetres(area_m2=10_001), [("area_m2", "area")]),
        (SquareMetres(area_m2=NAN), [("area_m2", "area")]),
        (Steps(steps_along=300, steps_across=300), [("steps_along", "area")]),
        (Rows(row_count=1, row_length_m=1, row_apart_cm=50), [("row_count", "area")]),
        (
            Steps(steps_along=0, steps_across=12, step_m=7.5),
            [("steps_along", "out-of-range"), ("step_m", "out-of-range")],
        ),
        (
            Rows(row_count=NAN, row_length_m=2000, row_apart_cm=75),
            [("row_count", "out-of-range"), ("row_length_m", "out-of-range")],
        ),
    ],
    ids=["small", "large", "no number", "many steps", "a short row", "no step", "no rows"],
)
def test_a_measure_that_cannot_be_meant_is_refused_at_its_field(
    ground: Ground, refused: list[tuple[str, str]]
) -> None:
    found = area_of(ground)

    assert isinstance(found, tuple)
    assert [(fault.field, fault.code.value) for fault in found] == refused


def test_a_refused_area_says_what_came_out_and_what_is_taken() -> None:
    found = area_of(Steps(steps_along=300, steps_across=100))  # 225 m x 75 m

    assert isinstance(found, tuple)
    assert isinstance(found[0], Fault)
    assert found[0].values == {"least": 1, "most": 10_000, "area_m2": 16_875}
