"""What a coordinator sees and notes on the page of a planting."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.records.fields import FactKind, Flag, PlantingRow
from service.records.traffic import TaskKind
from tests.web.reading import post, result_of, text_of
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_looks import calls, facts


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A service with the household, plot and planting that each test enrols."""
    made = World(folder=tmp_path)
    yield made
    made.close()


def page_of(home: Enrolled, part: str = "") -> str:
    return f"/plantings/{home.planting_id}{part}"


def coordinator(world: World) -> FlaskClient:
    """Return the browser of a coordinator who has signed in."""
    return browser_of(office_of(world, Wall()), visit_token(world))


def told(client: FlaskClient, home: Enrolled, **fields: str) -> str:
    """Say what happened, and return the result line."""
    news = page_of(home, "/news")
    answer = post(client, news, news, **fields)
    assert answer.status_code == 303
    return result_of(client.get(answer.location).text)


def dose_rows(html: str) -> list[list[str]]:
    body = next(parse(html).every("tbody"))
    return [[cell.text for cell in row.every("th", "td")] for row in body.every("tr")]


def test_a_first_pick_on_day_70_ends_the_doses_on_day_40(world: World) -> None:
    """E7: 15 March + 70 days is 24 May; 30 days before it is 24 April, day 40."""
    home = enrol(world, crop="tomato", planted_on=date(2027, 3, 15))
    with world.services.sessions.begin() as session:
        planting = session.get_one(PlantingRow, home.planting_id)
        planting.first_harvest_on = date(2027, 5, 24)
    world.tick("2027-03-15T12:00")
    client = coordinator(world)

    season = text_of(client.get(page_of(home)).text)
    reasons = text_of(client.get(page_of(home, "/why")).text)

    assert "none after Saturday 24 April 2027." in season
    assert "Saturday 24 April 2027: the one-month rule binds" in season
    assert "First harvest expected Entered for this planting: Mon 24 May." in reasons
    assert "One month: 30 days before the first harvest on Mon 24 May: Sat 24 Apr." in reasons
    assert "2/3 of 135 days, rounded down, is 90 days after Mon 15 Mar: Sun 13 Jun." in reasons


def test_done_not_done_and_not_known_are_three_words_on_the_page(world: World) -> None:
    """R6: answered, answered NO, and silence until the window closed."""
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-27T18:00")
    world.text("A2 NO", at="2027-03-28T12:00")
    world.tick("2027-04-03T18:00")
    world.tick("2027-04-11T06:00")

    states = [row[-1] for row in dose_rows(coordinator(world).get(page_of(home)).text)]

    assert [state.split(" by ")[0] for state in states[:4]] == [
        "done",
        "not done",
        "not known",
        "due, open now",
    ]


def test_late_emergence_told_by_telephone_shows_moved_and_dropped_doses(world: World) -> None:
    """A3: up on 14 April; doses on 21 and 28 April, 5, 12 and 26 May; 9 June dropped, 25 L each.

    Nothing was told to the grower before, so all six doses share the 150 L anew.
    """
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    world.now = world.now.replace(month=4, day=14)
    client = coordinator(world)

    line = told(client, home, what="up", when="today")
    rows = dose_rows(client.get(page_of(home)).text)

    assert "Next dose: A2 on Wednesday 21 April 2027." in line
    assert [row[1].removeprefix("Day: ") for row in rows[1:]] == [
        "Wed 21 Apr",
        "Wed 28 Apr",
        "Wed 5 May",
        "Wed 12 May",
        "Wed 26 May",
        "Wed 9 Jun",
    ]
    assert [row[2] for row in rows[1:6]] == ["Litres of urine: 25"] * 5
    assert rows[6][2:] == ["none", "dropped It falls after the last day for a dose."]


def test_emergence_is_marked_as_assumed_until_somebody_tells_the_day(world: World) -> None:
    """A20: sown on 15 March; assumed for 21 March in the line, the days and every reason."""
    home = enrol(world)
    world.tick("2027-03-24T12:00")
    client = coordinator(world)
    season = text_of(client.get(page_of(home)).text)
    reasons = text_of(client.get(page_of(home, "/why")).text)

    told(client, home, what="up", when="other", day="22 March 2027")
    after = text_of(client.get(page_of(home)).text)

    assert "Plants up Sun 21 Mar, assumed" in season
    assert "Sunday 21 March 2027 (assumed)" in season
    assert reasons.count("plants are up on Sun 21 Mar (assumed)") == 6
    assert "Monday 22 March 2027" in after
    assert "(assumed)" not in after


def test_an_early_harvest_is_answered_with_the_safe_day(world: World) -> None:
    """A9: the last dose on 16 May; harvest on 1 June is early, 15 June is the first safe day."""
    home = enrol(world)
    world.tick("2027-05-16T12:00")
    client = coordinator(world)
    told(client, home, what="done", dose="7", when="today")
    before = text_of(client.get(page_of(home)).text)
    world.tick("2027-06-01T12:00")

    line = told(client, home, what="harvest", when="today")
    after = text_of(client.get(page_of(home)).text)

    assert "By what is known today: Tuesday 15 June 2027." in before
    assert "do not harvest more or eat of it before Tuesday 15 June 2027." in line
    assert "Harvested on Tue 1 Jun, before the safe day" in after
    assert [fact.flag for fact in facts(world, home, FactKind.HARVESTED)] == [Flag.TOO_EARLY]
    assert [task.planting_id for task in calls(world, TaskKind.EARLY_HARVEST)] == [home.planting_id]


def test_every_figure_of_the_dose_table_leads_to_its_reason(world: World) -> None:
    """A13: none of the dose table's figures stands without a link to a rule and its source."""
    home = enrol(world, water_ratio=2)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    client = coordinator(world)

    table = next(parse(client.get(page_of(home)).text).every("tbody"))
    why = parse(client.get(page_of(home, "/why")).text)
    anchors = {each.get("id"): each.text for each in why.every("section", "p")}
    linked = [link for link in table.every("a") if "/why#" in link.get("href")]
    without = len("".join(filter(str.isdigit, table.text))) - sum(
        len("".join(filter(str.isdigit, link.text))) for link in linked
    )

    assert without == 0
    assert all(anchors[link.get("href").partition("#")[2]] for link in linked)
    assert "Common practice, no source" in anchors["dose-3-day"]
    assert "no source" in anchors["dose-3-amount"]
