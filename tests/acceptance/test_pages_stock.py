"""Stock against need, own measures, when to collect, whose turn it is, and what it is worth."""

from datetime import date, datetime

import pytest
from flask.testing import FlaskClient

from service.records.fields import ContainerRow
from service.records.people import HouseholdRow
from tests.web.reading import text_of
from tests.web.tree import parse
from tests.world import ZONE, Enrolled, World, enrol
from tests.world_facts import another_can, another_plot


def test_the_page_says_how_far_the_cans_go_and_the_text_carries_only_what_is_there(
    world: World, client: FlaskClient
) -> None:
    """A4: 60 L ready, 150 L needed: short by 90 L, serves 40 m² fully; texts carry what is there.

    Doses 1 and 2 take 21 L and 21.5 L, so that dose 3 finds 17.5 L of its 21.5 L.
    """
    home = enrol(world, can_litres=60)
    page = f"/households/{home.household_id}"
    world.tick("2027-03-14T18:00")
    short = "Short by 90 L: serves 40 m² fully, of 100 m²."

    assert short in text_of(client.get(page).text)
    assert short in text_of(client.get(f"{page}/stock").text)

    world.text("A1", at="2027-03-15T12:00")
    world.text("A UP", at="2027-03-21T12:00")
    world.tick("2027-03-27T18:00")
    world.text("A2", at="2027-03-28T12:00")
    world.tick("2027-04-03T18:00")

    told = world.bodies()[-1]
    assert "A3" in told
    assert "17.5 L urine" in told
    shown = text_of(client.get(page).text)
    assert "17.5 L of urine, no water." in shown
    assert "The cans lack 4 L of the 21.5 L planned: pour only this." in shown


def cans_of_20_litres(world: World, home: Enrolled, *, bottle_ml: int | None) -> None:
    """Give a household two full cans of 20 L, and a bottle."""
    another_can(world, home, number=2, sealed_on=date(2027, 1, 11))
    with world.services.sessions.begin() as session:
        for can in session.query(ContainerRow):
            can.litres = 20
        session.get_one(HouseholdRow, home.household_id).bottle_ml = bottle_ml


def test_litres_are_rounded_down_to_what_can_be_measured(world: World, client: FlaskClient) -> None:
    """A5: 21.43 L with a 20 L can and a 1.5 L bottle -> "21 L" in the text and on the page."""
    home = enrol(world)
    cans_of_20_litres(world, home, bottle_ml=1500)
    world.tick("2027-03-14T18:00")

    shown = text_of(client.get(f"/households/{home.household_id}").text)

    assert "21 L urine" in world.bodies()[-1]
    assert "21 L of urine, no water. That is 14 bottles of 1,500 mL." in shown
    assert "By the can alone" not in shown
    assert "21.43" not in shown


def test_cans_are_counted_only_where_nothing_else_measures(
    world: World, client: FlaskClient
) -> None:
    """A5: the can count stands only where a can is the household's sole measure."""
    home = enrol(world)
    cans_of_20_litres(world, home, bottle_ml=None)
    world.tick("2027-03-14T18:00")

    shown = text_of(client.get(f"/households/{home.household_id}").text)

    assert "21 L of urine, no water. By the can alone: 1 can, 20 L." in shown


def test_the_days_to_start_and_to_seal_are_counted_back(world: World, client: FlaskClient) -> None:
    """A14: 2 adults, 1 child, 150 L by 2027-03-15, general: 60 days, sealed 02-13, from 12-15."""
    world.now = datetime(2026, 12, 1, 9, 0, tzinfo=ZONE)
    home = enrol(world, sealed_on=None, can_litres=20)
    page = f"/households/{home.household_id}/collecting"

    html = client.get(page, query_string={"litres": "150", "by": "2027-03-15"}).text

    shown = text_of(html)
    assert "2 adults, 1 child; 100 % of it is collected: 2.5 L a day (from 2 to 3.75)." in shown
    assert (
        "150 L by Monday 15 March 2027, for this household: 2.5 L a day, 60 days: start on Tuesday"
        " 15 December 2026, seal the last can by Saturday 13 February 2027." in shown
    )
    assert "Change the people or the share" in shown


@pytest.mark.parametrize(
    ("eats", "last"),
    [
        pytest.param(
            "a month from the last dose to the harvest", "Monday 1 March 2027", id="two weeks"
        ),
        pytest.param("milling, pressing or cooking", "Saturday 13 February 2027", id="a month"),
        pytest.param("Others too, or not known", "Sunday 13 September 2026", id="six months"),
    ],
)
def test_the_last_seal_is_told_for_each_kind_of_eater(
    world: World, client: FlaskClient, eats: str, last: str
) -> None:
    """A14: the same 150 L rest 14, 30 or 183 days before 15 March 2027."""
    home = enrol(world)
    page = f"/households/{home.household_id}/collecting"

    html = client.get(page, query_string={"litres": "150", "by": "15/3/2027"}).text

    asked = list(parse(html).every("table"))[-1]
    (row,) = [each.text for each in asked.every("tr") if eats in each.text]
    assert f"Seal the last by: {last}" in row


def test_the_younger_plot_goes_first_and_the_page_shows_it(
    world: World, client: FlaskClient
) -> None:
    """A15: two plots, 30 L, same due date -> the younger gets it; page shows the order and why.

    Maize of 8 March is taken to be up on the 14th, so A2 falls on the 21st, the day D is sown.
    """
    home = enrol(world, can_litres=30, area_m2=140, planted_on=date(2027, 3, 8))
    world.tick("2027-03-07T18:00")
    world.text("A1 NO", at="2027-03-08T12:00")
    another_plot(world, home, letter="D", area_m2=140, planted_on=date(2027, 3, 21))
    world.tick("2027-03-12T12:00")

    html = client.get(f"/households/{home.household_id}/stock").text

    (table,) = [each for each in parse(html).every("table") if "in turn" in each.text]
    first, second = [row.text for row in table.every("tr")][1:3]
    assert first.startswith("Turn: 1 D1 Day: Sun 21 Mar Wants, L: 30 Gets, L: 30 can 1, 30 L")
    assert second.startswith("Turn: 2 A2 Day: Sun 21 Mar")
    assert "Gets, L: 0" in second
    why = "the youngest plot goes first: planted on Sun 21 Mar before Mon 8 Mar."
    assert why in first
    assert why in second


def test_a_coordinator_sees_what_litres_are_worth(client: FlaskClient) -> None:
    """A16: 100 L at 5 g/L -> 0.5 kg N and 1.09 kg urea, and money at the price typed."""
    asked = {"litres": "100", "price": "2000", "how": "covered"}

    shown = text_of(client.get("/fertiliser", query_string=asked).text)

    assert "Nitrogen (N) 0.5 kg (from 0.3 to 0.7 kg" in shown
    assert "As urea 1.09 kg or 1.85 kg of CAN" in shown
    assert "Money 2,173.91 at 2,000 for a kilogram of urea" in shown


def test_the_season_says_what_was_given_is_worth(world: World, client: FlaskClient) -> None:
    """A16: 21 L at 5 g/L hold 0.105 kg N, as 0.23 kg of urea do; at 2000 that is 456.52."""
    enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    shown = text_of(client.get("/season", query_string={"price": "2000"}).text)

    assert "Doses told as done: 21 L, which stand for 0.23 kg of urea." in shown
    assert "At 2,000 for a kilogram that is 456.52." in shown
