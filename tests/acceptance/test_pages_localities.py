"""What a coordinator enters for an area or for all: days without doses, rains or dry season."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from tests.web.homes import another_area
from tests.web.reading import faults_of, post, result_of, text_of
from tests.web.ward_forms import by_the_rules, dose_row, hold, litres, sent
from tests.world import World, dose_days


def test_a_hold_moves_the_dose_in_it_to_the_day_after(world: World, client: FlaskClient) -> None:
    """A11: hold 04-10 to 04-12 -> the dose of 04-11 becomes 04-13, on both pages."""
    home = by_the_rules(world)
    before = dose_row(client, home, 4).text

    page = hold(client, "10/4/2027", "12 April 2027")

    assert "Sun 11 Apr" in before
    assert "Households planned anew: 1. Doses that changed: 1." in result_of(page)
    assert "A4 Household: H01 Before: Sun 11 Apr After: now on Tuesday 13 April 2027" in text_of(
        page
    )
    assert "Tue 13 Apr" in dose_row(client, home, 4).text
    assert "Sun 18 Apr" in dose_row(client, home, 5).text


def test_a_hold_that_crowds_the_next_dose_drops_the_one_in_it(
    world: World, client: FlaskClient
) -> None:
    """A11: hold 04-10 to 04-15 -> on 04-16 two days lie before 04-18, so 04-11 is dropped."""
    home = by_the_rules(world)

    page = hold(client, "10/4/2027", "15/4/2027")

    reason = "the next dose was too near or the last day had passed"
    assert "A4 Household: H01 Before: Sun 11 Apr After: dropped" in text_of(page)
    assert reason in text_of(page)
    assert "dropped" in dose_row(client, home, 4).text
    assert reason in dose_row(client, home, 4).text
    assert "Sun 18 Apr" in dose_row(client, home, 5).text


def test_a_hold_for_all_areas_is_withdrawn_with_what_it_moved(
    world: World, client: FlaskClient
) -> None:
    """A11: a hold for all moves 04-11 to 04-13; withdrawn, the dose is on 04-11 again."""
    home = by_the_rules(world)
    page = hold(client, "10/4/2027", "12/4/2027", area="/areas")
    moved = dose_days(world, home)[4]

    path = "/areas/holds/1/withdraw"
    back = sent(client, path, page)

    assert moved == date(2027, 4, 13)
    assert dose_days(world, home)[4] == date(2027, 4, 11)
    assert "Withdrawn by Neema Test" in text_of(back)
    assert "Withdraw this hold" not in text_of(back)


def test_a_hold_that_overlaps_another_says_so(client: FlaskClient) -> None:
    """A11: 04-12 to 04-14 for all lies on a day of 04-10 to 04-12 in North."""
    hold(client, "10/4/2027", "12/4/2027")

    page = hold(client, "12/4/2027", "14/4/2027", area="/areas")

    assert "from Saturday 10 April 2027 to Monday 12 April 2027" in result_of(page)
    assert "another hold lies on some of these days" in text_of(client.get("/areas/1").text)


@pytest.mark.parametrize(
    ("first", "last", "advice"),
    [
        pytest.param("12/4/2027", "10/4/2027", "comes before the first", id="turned"),
        pytest.param("1/3/2027", "30/4/2027", "more than 60 days", id="61 days"),
        pytest.param("1/4/2030", "2/4/2030", "years from today", id="years away"),
        pytest.param("2027-W13-6", "2/4/2027", "like 27 March 2027", id="a week"),
    ],
)
def test_a_hold_that_cannot_be_meant_keeps_what_was_typed(
    client: FlaskClient, first: str, last: str, advice: str
) -> None:
    """A11: nothing is saved and nothing typed is lost."""
    answer = post(client, "/areas/1/hold", "/areas/1", hold_first=first, hold_last=last)

    assert answer.status_code == 422
    assert advice in faults_of(answer.text)
    assert f'value="{first}"' in answer.text
    assert f'value="{last}"' in answer.text
    assert "(in " not in text_of(client.get("/areas/1").text)


def test_the_season_switched_by_hand_changes_the_water_on_the_planting(
    world: World, client: FlaskClient
) -> None:
    """A6: rains: none; dry: two parts to one; the litres of urine stay as they were."""
    home = by_the_rules(world)
    wet = dose_row(client, home, 4).text

    page = sent(client, "/areas/1/season", "/areas/1", season="dry", by_hand="yes")
    dry = dose_row(client, home, 4).text
    sent(client, "/areas/1/season", "/areas/1", season="rains", by_hand="yes")
    again = dose_row(client, home, 4).text

    assert "Today: dry." in text_of(page)
    assert "Doses with other water: 7." in result_of(page)
    assert litres(wet) == (litres(dry)[0], 0)
    assert litres(dry)[1] == 2 * litres(dry)[0] > 0
    assert again == wet


def test_a_season_by_its_days_holds_on_those_alone(world: World, client: FlaskClient) -> None:
    """A6: dry from 8 to 12 April: dose 4 of 11 April has water, doses 3 and 5 have none."""
    home = by_the_rules(world)

    sent(
        client,
        "/areas/1/season",
        "/areas/1",
        season="dry",
        season_first="8/4/2027",
        season_last="12/4/2027",
        by_hand="",
    )

    water = [litres(dose_row(client, home, number).text)[1] for number in (3, 4, 5)]
    assert [found > 0 for found in water] == [False, True, False]


def test_another_areas_season_changes_nothing_here(world: World, client: FlaskClient) -> None:
    """A6: what is told for South leaves North as it is."""
    home = by_the_rules(world)
    another_area(world, name="South")
    before = dose_row(client, home, 4).text

    page = sent(client, "/areas/2/season", "/areas/2", season="dry", by_hand="yes")

    assert "No household was planned anew." in result_of(page)
    assert dose_row(client, home, 4).text == before
