"""The season so far: three things that stay three, by area, on the page and as a table."""

import csv
from datetime import date
from io import StringIO

import pytest
from flask.testing import FlaskClient

from service.confirmations.doses import confirm_done
from service.records.fields import PlotRow
from service.records.people import HouseholdRow
from service.web.season_sums import Sums, safe_cell
from tests.web.homes import another_area
from tests.web.reading import links_of, text_of
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol, tick_through
from tests.world_facts import by_call

EVENING = ("18:00",)


def a_season(world: World) -> Enrolled:
    """Dose 1 done, 2 not done, 3 silent, 4 done eight days late; the others are to come."""
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-27T18:00")
    world.text("A2 NO", at="2027-03-28T12:00")
    tick_through(world, date(2027, 4, 3), date(2027, 4, 11), hours=EVENING)
    world.tick("2027-04-20T12:00")
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 4, on=date(2027, 4, 19)))
    return home


def rows_of(html: str) -> dict[str, list[str]]:
    """Return the cells of the table by the heading of their row."""
    found = {}
    for row in parse(html).every("tr"):
        heads = [head.text for head in row.every("th") if head.get("scope") == "row"]
        if heads:
            found[heads[0]] = [cell.text.partition(": ")[2] for cell in row.every("td")]
    return found


def taken(client: FlaskClient) -> list[dict[str, str]]:
    """Return the rows of the table to take away, by the names of their columns."""
    return list(csv.DictReader(StringIO(client.get("/season.csv").text, newline="")))


def test_doses_are_counted_by_area_with_their_shares(world: World, client: FlaskClient) -> None:
    """Of four doses whose days are over each way has one: 25 of a hundred."""
    a_season(world)

    html = client.get("/season").text

    cells = ["1 (25 %)", "1 (25 %)", "1 (25 %)", "1 (25 %)", "3", "0"]
    assert rows_of(html) == {"North": cells, "All areas": cells}
    assert "Of 4 doses whose days are over: 2 done, 1 not done, 1 not known (25 %)." in text_of(
        html
    )


def test_areas_stand_by_name_and_not_by_rank(world: World, client: FlaskClient) -> None:
    a_season(world)
    another_area(world, name="East")
    other = enrol(world, code="H02", number="+255100000002", planted_on=date(2027, 5, 1))
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, other.household_id).area_id = 2
    world.tick("2027-04-20T18:00")

    found = rows_of(client.get("/season").text)

    assert list(found) == ["East", "North", "All areas"]
    assert found["East"][:4] == ["0", "0", "0", "0"]


def test_a_dropped_dose_is_counted_apart(world: World, client: FlaskClient) -> None:
    """Green maize: six of seven doses fit (agronomy check values, T = 80 days)."""
    enrol(world, crop="maize-green")
    world.tick("2027-03-14T18:00")

    assert rows_of(client.get("/season").text)["All areas"] == ["0", "0", "0", "0", "6", "1"]


def test_before_any_answer_the_page_says_so(world: World, client: FlaskClient) -> None:
    enrol(world)
    world.tick("2027-03-14T18:00")

    assert "No dose has been told of so far" in text_of(client.get("/season").text)


def test_without_a_dose_the_page_says_what_to_do_next(client: FlaskClient) -> None:
    html = client.get("/season").text

    assert "No dose yet: doses come with the first planting." in text_of(html)
    assert links_of(parse_main(html))["Enrol"] == "/enrol"


def parse_main(html: str) -> str:
    return html[html.index("<main") : html.index("</main>") + len("</main>")]


def test_a_planting_of_a_year_ago_is_of_another_season(world: World, client: FlaskClient) -> None:
    a_season(world)
    world.now = world.now.replace(year=2028, month=3, day=16)

    assert "No dose yet" in text_of(client.get("/season").text)
    assert taken(client) == []


def test_the_table_has_a_row_for_each_dose(world: World, client: FlaskClient) -> None:
    """Maize comes up on day 6, so dose 4 was due on day 27: 11 April; it was given on 19 April."""
    a_season(world)

    found = taken(client)

    assert [row["dose"] for row in found] == ["1", "2", "3", "4", "5", "6", "7"]
    assert list(found[0]) == [
        "household",
        "plot",
        "crop",
        "dose",
        "due_on",
        "state",
        "reason",
        "given_on",
        "told_by",
        "litres",
    ]
    assert list(found[0].values()) == [
        "H01", "A", "maize-grain", "1", "2027-03-15", "done", "", "2027-03-15", "text", "21",
    ]  # fmt: skip
    assert (found[1]["state"], found[1]["told_by"], found[1]["given_on"]) == (
        "not-done",
        "text",
        "",
    )
    assert (found[2]["state"], found[2]["told_by"]) == ("not-known", "")
    assert (found[3]["due_on"], found[3]["given_on"], found[3]["told_by"]) == (
        "2027-04-11",
        "2027-04-19",
        "call",
    )


def test_a_dropped_dose_names_its_reason_in_the_table(world: World, client: FlaskClient) -> None:
    enrol(world, crop="maize-green")
    world.tick("2027-03-14T18:00")

    assert [(row["state"], row["reason"]) for row in taken(client)][-1] == (
        "dropped",
        "after-cutoff",
    )


def test_the_table_is_sent_as_a_file_of_commas(world: World, client: FlaskClient) -> None:
    """RFC 4180: a line ends with CR LF."""
    a_season(world)

    answer = client.get("/season.csv")

    assert answer.mimetype == "text/csv"
    assert answer.headers["Content-Disposition"] == 'attachment; filename="season-2027-04-20.csv"'
    assert answer.text.endswith("\r\n")
    assert answer.text.count("\r\n") == 8


def test_the_table_holds_no_name_and_no_number(world: World, client: FlaskClient) -> None:
    home = a_season(world)
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, home.household_id).alias = "Mti Mmoja"

    text = client.get("/season.csv").text

    assert "Mti" not in text
    assert "+255" not in text


@pytest.mark.parametrize("first", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_begins_as_a_formula_does(first: str) -> None:
    assert safe_cell(f"{first}A1") == f"'{first}A1"


def test_a_code_that_looks_like_a_formula_is_made_harmless(
    world: World, client: FlaskClient
) -> None:
    home = a_season(world)
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, home.household_id).code = '=1,"x"'
        session.get_one(PlotRow, home.plot_id).letter = None

    assert (taken(client)[0]["household"], taken(client)[0]["plot"]) == ('\'=1,"x"', "")


def test_shares_are_of_the_doses_whose_days_are_over() -> None:
    sums = Sums(on_time=1, late=1, not_done=0, not_known=1, to_come=5, dropped=2)

    assert (sums.over, sums.share(sums.not_known)) == (3, 33)


def test_the_table_is_for_those_who_signed_in(visitor: FlaskClient) -> None:
    assert visitor.get("/season.csv").status_code == 303
