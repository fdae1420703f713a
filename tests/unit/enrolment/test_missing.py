"""What a household still lacks, in the order in which to ask for it."""

from dataclasses import replace

import pytest

from service.enrolment.missing import Missing, Standing, missing

WHOLE = Standing(phones=1, asked=True, texted=True, plots=1, plantings=1, containers=1)
CALLED = replace(WHOLE, needs_call=True, phones=0, asked=False, texted=False)


def test_a_household_with_two_fields_lacks_all_that_a_plan_and_a_text_need() -> None:
    assert missing(Standing(eaters_said=False, cold_store=True)) == (
        Missing.PHONE,
        Missing.CONSENT,
        Missing.PLOT,
        Missing.PLANTING,
        Missing.CAN,
        Missing.EATERS,
        Missing.STORE_TEMPERATURE,
    )


def test_a_whole_household_lacks_nothing() -> None:
    assert missing(WHOLE) == ()


@pytest.mark.parametrize(
    ("standing", "lack"),
    [
        (replace(WHOLE, asked=False, texted=False), Missing.CONSENT),
        (replace(WHOLE, texted=False), Missing.START),
        (replace(WHOLE, texted=False, stopped=True), Missing.STOPPED),
        (replace(WHOLE, plantings=0), Missing.PLANTING),
        (replace(WHOLE, without_letter=1), Missing.LETTER),
        (replace(WHOLE, containers=0), Missing.CAN),
        (replace(WHOLE, eaters_said=False), Missing.EATERS),
        (replace(WHOLE, cold_store=True), Missing.STORE_TEMPERATURE),
    ],
    ids=["consent", "start", "stopped", "planting", "letter", "can", "eaters", "store"],
)
def test_each_thing_is_missed_by_itself(standing: Standing, lack: Missing) -> None:
    assert missing(standing) == (lack,)


def test_a_household_that_is_called_lacks_nothing_for_texts() -> None:
    assert missing(replace(CALLED, without_letter=1)) == ()
    assert missing(replace(CALLED, plots=0, plantings=0)) == (Missing.PLOT, Missing.PLANTING)
