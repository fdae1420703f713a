"""Days of doses: what moves, what stays, what is dropped."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.dose_days import (
    DayRules,
    DropReason,
    MoveReason,
    Slot,
    closes_on,
    pattern_days,
    place_doses,
)

MAIZE = DayRules(
    pattern=pattern_days(
        date(2027, 3, 15), date(2027, 3, 21), after_emergence_days=(7, 14, 21, 28, 42, 56)
    ),
    fixed={},
    given_on=(),
    dropped={},
    holds=(),
    cutoff_on=date(2027, 6, 6),
)


def given(days: dict[int, date]) -> DayRules:
    return replace(MAIZE, fixed=days, given_on=tuple(days.values()))


def held(*holds: tuple[date, date]) -> DayRules:
    return replace(MAIZE, holds=holds)


def days(ask: DayRules) -> list[str]:
    """Return month and day of each dose, with the reason behind a dropped one."""
    return [
        f"{slot.on:%m-%d}" + (f" {slot.reason.value}" if slot.reason else "")
        for slot in place_doses(ask)
    ]


def test_the_pattern_runs_from_planting_and_emergence() -> None:
    """Common practice, no source: planting, then emergence and 7, 14, 21, 28, 42, 56 days."""
    assert days(MAIZE) == ["03-15", "03-28", "04-04", "04-11", "04-18", "05-02", "05-16"]


def test_a_late_dose_moves_the_next_ones_in_turn() -> None:
    late = given({3: date(2027, 4, 9)})

    assert days(late) == ["03-15", "03-28", "04-09", "04-14", "04-19", "05-02", "05-16"]


def test_an_early_dose_moves_nothing_that_is_far_enough() -> None:
    early = given({4: date(2027, 4, 9)})

    assert days(early)[3:] == ["04-09", "04-18", "05-02", "05-16"]


def test_a_dose_given_out_of_turn_keeps_an_earlier_number_away() -> None:
    swapped = given({4: date(2027, 4, 2)})

    assert days(swapped) == ["03-15", "03-28", "04-07", "04-02", "04-18", "05-02", "05-16"]


def test_a_closed_dose_keeps_its_day_and_holds_the_next_away() -> None:
    closed = replace(
        given({2: date(2027, 4, 10)}), fixed={2: date(2027, 4, 10), 3: date(2027, 4, 4)}
    )

    assert days(closed)[1:5] == ["04-10", "04-04", "04-15", "04-20"]


def test_a_given_dose_stays_a_fact_after_the_cutoff() -> None:
    late = replace(given({7: date(2027, 6, 20)}), cutoff_on=date(2027, 5, 10))

    assert days(late)[5:] == ["05-02", "06-20"]


def test_a_dose_pushed_past_the_cutoff_is_dropped() -> None:
    late = replace(given({6: date(2027, 5, 12)}), cutoff_on=date(2027, 5, 16))

    assert days(late)[5:] == ["05-12", "05-17 after-cutoff"]


@pytest.mark.parametrize(
    ("ask", "expected"),
    [
        pytest.param(
            held((date(2027, 4, 10), date(2027, 4, 12))),
            ["04-04", "04-13", "04-18"],
            id="moves to the day after",
        ),
        pytest.param(
            held((date(2027, 4, 10), date(2027, 4, 13))),
            ["04-04", "04-11 hold", "04-18"],
            id="dropped, the next is four days off",
        ),
        pytest.param(
            held((date(2027, 4, 12), date(2027, 4, 12)), (date(2027, 4, 10), date(2027, 4, 11))),
            ["04-04", "04-13", "04-18"],
            id="holds that touch are passed together",
        ),
        pytest.param(
            held((date(2027, 4, 10), date(2027, 4, 12)), (date(2027, 4, 11), date(2027, 4, 13))),
            ["04-04", "04-11 hold", "04-18"],
            id="holds that overlap are passed together",
        ),
        pytest.param(
            held((date(2027, 4, 4), date(2027, 4, 12))),
            ["04-04 hold", "04-13", "04-18"],
            id="two doses in one hold, the later one stays",
        ),
        pytest.param(
            held((date(2027, 4, 4), date(2027, 4, 7)), (date(2027, 4, 10), date(2027, 4, 12))),
            ["04-08", "04-13", "04-18"],
            id="the next dose is far enough once its own hold moves it",
        ),
        pytest.param(
            held((date(2027, 4, 12), date(2027, 4, 17))),
            ["04-04", "04-11", "04-18"],
            id="between doses, nothing moves",
        ),
    ],
)
def test_holds_move_or_drop_the_doses_inside(ask: DayRules, expected: list[str]) -> None:
    assert days(ask)[2:5] == expected


def test_a_hold_over_the_cutoff_drops_the_last_dose() -> None:
    ask = replace(held((date(2027, 5, 16), date(2027, 5, 20))), cutoff_on=date(2027, 5, 20))

    assert days(ask)[6] == "05-16 hold"


def test_a_hold_moves_no_dose_too_near_to_one_given_out_of_turn() -> None:
    swapped = given({5: date(2027, 4, 11)})
    ask = replace(swapped, holds=((date(2027, 4, 4), date(2027, 4, 12)),))

    assert days(ask)[2:5] == ["04-04 hold", "04-16", "04-11"]


def test_a_dose_that_no_container_was_ready_for_is_dropped() -> None:
    assert days(replace(MAIZE, dropped={1: DropReason.NOT_READY}))[:2] == [
        "03-15 not-ready",
        "03-28",
    ]


def test_a_crop_without_a_planting_dose_starts_after_emergence() -> None:
    assert days(replace(MAIZE, dropped={1: DropReason.NO_PLANTING_DOSE}))[:2] == [
        "03-15 no-planting-dose",
        "03-28",
    ]


@pytest.mark.parametrize(
    ("day", "others", "cutoff_on", "expected"),
    [
        pytest.param(date(2027, 5, 2), (), date(2027, 6, 6), date(2027, 5, 8), id="six days on"),
        pytest.param(
            date(2027, 4, 4),
            (date(2027, 3, 28), date(2027, 4, 9)),
            date(2027, 6, 6),
            date(2027, 4, 8),
            id="the day before the next dose",
        ),
        pytest.param(date(2027, 5, 2), (), date(2027, 5, 4), date(2027, 5, 4), id="the cut-off"),
        pytest.param(
            date(2027, 5, 2), (), date(2027, 4, 20), date(2027, 5, 2), id="never before its day"
        ),
    ],
)
def test_a_window_ends_with_the_first_of_three(
    day: date, others: tuple[date, ...], cutoff_on: date, expected: date
) -> None:
    slot = Slot(number=4, on=day, usual_on=day)
    live = [slot, *(Slot(number=9, on=other, usual_on=other) for other in others)]

    assert closes_on(slot, live, cutoff_on=cutoff_on) == expected


def test_a_slot_without_a_reason_is_in_the_plan() -> None:
    ask = replace(MAIZE, cutoff_on=date(2027, 5, 10))

    assert place_doses(ask)[-2:] == (
        Slot(number=6, on=date(2027, 5, 2), usual_on=date(2027, 5, 2)),
        Slot(
            number=7,
            on=date(2027, 5, 16),
            usual_on=date(2027, 5, 16),
            reason=DropReason.AFTER_CUTOFF,
        ),
    )


def test_a_dose_that_was_not_ready_and_fell_after_the_cutoff_is_after_the_cutoff() -> None:
    ask = replace(MAIZE, dropped={7: DropReason.NOT_READY}, cutoff_on=date(2027, 5, 10))

    assert days(ask)[6] == "05-16 after-cutoff"


def avoiding(*weekdays: int, ask: DayRules = MAIZE) -> DayRules:
    return replace(ask, avoided=weekdays)


def test_a_dose_on_a_day_to_avoid_moves_to_the_day_after() -> None:
    """Project choice, no source. 28 March 2027 is a Sunday, and so are the five doses after it."""
    assert days(avoiding(6)) == ["03-15", "03-29", "04-05", "04-12", "04-19", "05-03", "05-17"]


def test_where_the_day_after_is_avoided_too_the_day_before_is_taken() -> None:
    assert days(avoiding(6, 0))[1] == "03-27"


def test_where_the_day_after_lies_past_the_cutoff_the_day_before_is_taken() -> None:
    ask = avoiding(6, ask=replace(MAIZE, cutoff_on=date(2027, 5, 16)))

    assert days(ask)[6] == "05-15"


def test_a_day_after_the_cutoff_and_a_day_too_near_leave_the_dose_where_it_was() -> None:
    ask = replace(given({6: date(2027, 5, 11)}), cutoff_on=date(2027, 5, 16), avoided=(6,))

    assert days(ask)[6] == "05-16"


def test_the_planting_dose_never_moves_before_planting() -> None:
    """15 March 2027 is a Monday."""
    assert days(avoiding(0, 1))[0] == "03-15"


def test_an_avoided_day_gives_way_to_a_hold_first() -> None:
    held_over_saturday = held((date(2027, 3, 27), date(2027, 3, 27)), (date(2027, 3, 29),) * 2)

    assert days(avoiding(6, ask=held_over_saturday))[1] == "03-28"


def test_each_move_has_its_reasons() -> None:
    """6 May 2027 is a Thursday."""
    late = replace(given({5: date(2027, 4, 29)}), holds=((date(2027, 5, 4), date(2027, 5, 5)),))

    sixth, seventh = place_doses(replace(late, avoided=(3,)))[5:]

    assert (sixth.usual_on, sixth.on) == (date(2027, 5, 2), date(2027, 5, 7))
    assert sixth.moved == (MoveReason.GAP, MoveReason.HOLD, MoveReason.AVOIDED)
    assert (seventh.on, seventh.moved) == (date(2027, 5, 16), ())
