"""A household's cans against need: enough or short, each can, what to do, and how to collect."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.records.fields import ContainerRow, PlantingRow
from service.records.people import AssociationRow, HouseholdRow
from tests.web.homes import bare_home
from tests.web.reading import faults_of, headings_of, links_of, text_of
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import another_can, another_plot, can_event

EVE = "2027-03-14T18:00"
HTML_MOST = 10_500  # bytes; with the style sheet a page stays under 15 kB


def shown(client: FlaskClient, home: Enrolled, page: str) -> str:
    """Return the text of one of a household's pages."""
    return text_of(client.get(f"/households/{home.household_id}/{page}").text)


def cans_of(client: FlaskClient, home: Enrolled) -> dict[str, list[str]]:
    """Return the cells of each can by its heading."""
    html = client.get(f"/households/{home.household_id}/stock").text
    table = next(each for each in parse(html).every("table") if "each can holds" in each.text)
    return {
        next(row.every("th")).text: [cell.text.partition(": ")[2] for cell in row.every("td")]
        for row in list(table.every("tr"))[1:]
    }


def test_enough_is_said_in_one_line(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick(EVE)

    html = client.get(f"/households/{home.household_id}/stock").text

    assert "Enough for all doses to come: 150 L." in text_of(html)
    assert "What can be done" not in headings_of(html)
    assert "Short by" not in text_of(html)


def test_short_of_more_than_half_advises_to_halve_and_to_fill_one_more(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, can_litres=60)
    world.tick(EVE)

    found = shown(client, home, "stock")

    assert (
        "More than half is missing: plan half of the ground, or half the litres a square metre."
        in found
    )
    assert "Fill one more can, if it can rest in time." in found
    assert "Serve the youngest plots first" not in found


def test_with_two_plots_the_youngest_are_to_be_served_first(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    another_plot(world, home, letter="D", planted_on=date(2027, 3, 20))
    world.tick(EVE)

    assert "Serve the youngest plots first, and leave out doses of the older" in (
        shown(client, home, "stock")
    )


def test_short_of_the_last_dose_only_it_can_be_left_out(world: World, client: FlaskClient) -> None:
    home = enrol(world, can_litres=135)
    world.tick(EVE)

    found = shown(client, home, "stock")

    assert "Short by 15 L: serves 90 m² fully, of 100 m²." in found
    assert "Leave out the last dose: that closes the gap." in found
    assert "More than half is missing" not in found


def test_a_can_not_sealed_yet_counts_as_expected(world: World, client: FlaskClient) -> None:
    """Opened on 1 March, 20 L at 2.5 L a day are full on the 9th and rested on 8 April."""
    home = enrol(world, can_litres=20, sealed_on=None)
    can_event(world, home, CanEventKind.OPENED, date(2027, 3, 1))
    world.tick("2027-03-02T12:00")

    found = shown(client, home, "stock")
    (cells,) = cans_of(client, home).values()

    assert "20 L of it are expected: they come from cans not sealed yet." in found
    assert cells[:2] == ["being filled", "not known"]
    assert cells[2] == (
        "expected: full and sealed about Tuesday 9 March 2027; expected to be ready on Thursday 8"
        " April 2027"
    )


def test_each_can_has_a_ready_day_for_each_kind_of_eater_that_the_plots_have(
    world: World, client: FlaskClient
) -> None:
    """Sealed on 10 January, ready after 30 days for the house and 183 for others."""
    home = enrol(world)
    other = another_plot(world, home, letter="D")
    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, other.planting_id).regime = Regime.SOLD_ANY
    world.tick(EVE)

    (cells,) = cans_of(client, home).values()

    assert cells[2] == (
        "ready since Tuesday 9 February 2027 (Only the own household); ready on Monday 12 July 2027"
        " (Others too, or not known)"
    )


def test_a_can_in_use_and_an_empty_one_say_what_is_left(world: World, client: FlaskClient) -> None:
    """200 L less the 21 L of dose 1."""
    home = enrol(world)
    another_can(world, home, number=2, sealed_on=date(2027, 1, 11))
    can_event(world, home, CanEventKind.LEAKED, date(2027, 1, 12), number=2)
    world.tick(EVE)
    world.text("A1", at="2027-03-15T12:00")

    cells = cans_of(client, home)

    assert cells.keys() == {"Can 1, 200 L"}
    assert cells["Can 1, 200 L"][:2] == ["in use", "179"]
    assert "Empty: Can 2, 200 L" in shown(client, home, "stock")


def test_a_store_of_unknown_warmth_names_no_ready_day(world: World, client: FlaskClient) -> None:
    home = enrol(world, regime=Regime.SOLD_ANY)
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).store_c = None
    world.tick(EVE)

    (cells,) = cans_of(client, home).values()

    assert cells[2] == "not here: the store's warmth is not known, or it is cold"
    assert "No day can be named: the warmth of the store is not known." in (
        shown(client, home, "collecting")
    )


def test_a_home_without_doses_needs_nothing(world: World, client: FlaskClient) -> None:
    page = f"/households/{bare_home(world)}"

    stock, collecting = client.get(f"{page}/stock").text, client.get(f"{page}/collecting").text

    assert "No dose is to come, so nothing is needed now." in text_of(stock)
    assert links_of(stock)["Add a can"] == f"{page}/add/container"
    assert "No dose is to come. Add a planting, or ask below." in text_of(collecting)
    assert "There is no can yet; counted in cans of 20 L." in text_of(collecting)
    assert links_of(collecting)["Say who lives here"] == f"{page}/add/people"


def test_the_planner_counts_back_from_the_doses(world: World, client: FlaskClient) -> None:
    """150 L at 2.5 L a day; the doses reach into May, so the first cans bind.

    Eight cans of 20 L, seven full and one of 10 L. The first must be sealed a month before
    15 June, when the maize is sown, and the household can begin on the day of the plan.
    """
    home = enrol(world, sealed_on=None, can_litres=20, planted_on=date(2027, 6, 15))
    can_event(world, home, CanEventKind.EMPTIED, date(2027, 2, 1))
    world.tick("2027-02-21T12:00")

    html = client.get(f"/households/{home.household_id}/collecting").text

    lines = [each.text for each in next(parse(html).every("ol")).every("li")]
    assert len(lines) == 8
    assert lines[0].startswith("20 L, full about")
    assert "seal it by Sunday 16 May 2027." in lines[0]
    assert lines[-1].startswith("10 L, full about")
    assert "Start collecting on " in text_of(html)
    page = text_of(client.get(f"/households/{home.household_id}").text)
    assert f"To fill next: {lines[0]}" in page


def test_too_late_for_the_first_names_the_dose_that_can_still_be_served(
    world: World, client: FlaskClient
) -> None:
    """From 20 February two cans are full on 8 March and rested on 7 April: in time for A4."""
    home = enrol(world, sealed_on=None, can_litres=20)
    can_event(world, home, CanEventKind.EMPTIED, date(2027, 2, 1))
    world.tick("2027-02-20T12:00")

    found = shown(client, home, "collecting")

    assert "Too late for the first dose; from A4 on, Sunday 11 April 2027, cans are" in found
    assert "Start today: for every dose, collecting had to start on" in found
    assert "(this household)" in found


def test_half_of_what_people_pass_needs_twice_the_days(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, home.household_id).collected_share = 0.5
    page = f"/households/{home.household_id}/collecting"

    found = text_of(client.get(page, query_string={"litres": "150", "by": "2027-12-15"}).text)

    assert "50 % of it is collected: 1.25 L a day (from 1 to 1.88)." in found
    assert "1.25 L a day, 120 days: start on Sunday 18 July 2027" in found


def test_a_day_to_start_that_has_passed_says_how_much_is_still_possible(
    world: World, client: FlaskClient
) -> None:
    """From 20 February to 1 March, two weeks before the 15th, are 9 days of 2.5 L."""
    home = enrol(world, regime=Regime.OWN_HOUSEHOLD)
    page = f"/households/{home.household_id}/collecting"

    found = text_of(client.get(page, query_string={"litres": "150", "by": "2027-03-15"}).text)

    assert "The day to start has passed: from today on, about 22.5 L can be ready" in found


@pytest.mark.parametrize(
    "asked",
    [
        pytest.param({"litres": "many", "by": "2027-03-15"}, id="no number"),
        pytest.param({"litres": "150", "by": "soon"}, id="no day"),
        pytest.param({"litres": "150", "by": ""}, id="day left out"),
        pytest.param({"litres": "0", "by": "2027-03-15"}, id="nothing"),
    ],
)
def test_a_question_that_cannot_be_read_is_kept_and_explained(
    world: World, client: FlaskClient, asked: dict[str, str]
) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}/collecting"

    answer = client.get(page, query_string=asked)

    assert answer.status_code == 422
    assert "Mend this first" in faults_of(answer.text)
    typed = {each.get("name"): each.get("value") for each in parse(answer.text).every("input")}
    assert typed == asked


def test_a_can_of_a_foreign_size_is_the_largest_of_the_house(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, can_litres=20)
    another_can(world, home, number=2, sealed_on=date(2027, 1, 11))
    with world.services.sessions.begin() as session:
        session.query(ContainerRow).filter_by(number=2).one().litres = 25

    assert "Counted in cans of 25 L, the largest here." in shown(client, home, "collecting")


def test_a_home_of_many_cans_still_fits_a_slow_line(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    for letter in "DGJMPTW":
        another_plot(world, home, letter=letter)
    for number in range(2, 16):
        another_can(world, home, number=number, sealed_on=date(2027, 1, 10))
    world.tick(EVE)
    page = f"/households/{home.household_id}"

    stock, collecting = client.get(f"{page}/stock"), client.get(f"{page}/collecting")

    assert len(cans_of(client, home)) == 12
    assert links_of(stock.text)["All cans"] == "/containers"
    assert len(stock.data) < HTML_MOST
    assert len(collecting.data) < HTML_MOST
    assert len(client.get(page).data) < HTML_MOST
