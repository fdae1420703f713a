"""The page of a plot: nothing typed is lost, and what cannot be is asked again."""

import pytest
from flask.testing import FlaskClient

from service.records.fields import PlotRow
from service.records.people import AuditRow
from tests.web.reading import (
    buttons_of,
    faults_of,
    form_of,
    links_of,
    post,
    result_of,
    text_of,
    title_of,
)
from tests.world import Enrolled, World, enrol
from tests.world_looks import rows


def page_of(home: Enrolled, part: str = "") -> str:
    return f"/plots/{home.plot_id}{part}"


def send(client: FlaskClient, home: Enrolled, part: str, **fields: str) -> str:
    """Send one of the forms, and return the page that follows."""
    answer = post(client, page_of(home, part), page_of(home), **fields)
    if answer.status_code == 422:
        return answer.text
    assert answer.status_code == 303
    assert answer.location == page_of(home)
    return client.get(answer.location).text


def test_the_household_and_the_planting_lead_to_the_plot_and_back(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    from_home = links_of(client.get(f"/households/{home.household_id}").text)
    from_planting = links_of(client.get(f"/plantings/{home.planting_id}").text)
    back = links_of(client.get(page_of(home)).text)

    assert from_home["Plot A"] == page_of(home)
    assert from_planting["The plot: area, soil, ground"] == page_of(home)
    assert back["To the household"] == f"/households/{home.household_id}"
    assert back["What grows here"] == f"/plantings/{home.planting_id}"


def test_the_page_of_a_plot_asks_about_its_ground_until_somebody_tells(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    unasked = text_of(client.get(page_of(home)).text)

    asked = send(client, home, "/ground", no_risk="yes")

    assert "Nobody has asked yet whether this ground is risky." in unasked
    assert "The ground was noted: nothing risky." in result_of(asked)
    assert "No dose to come has changed." in result_of(asked)
    assert "Asked: nothing risky." in text_of(asked)
    assert form_of(asked, page_of(home, "/ground"))["no_risk"] == "yes"


@pytest.mark.parametrize(
    ("part", "fields", "fault"),
    [
        pytest.param("/area", {"area_m2": "0.2"}, "from 1 to 10,000", id="no ground"),
        pytest.param("/area", {"area_m2": ""}, "from 1 to 10,000", id="nothing told"),
        pytest.param("/area", {"steps_along": "20"}, "from 1 to 1,000", id="half the steps"),
        pytest.param(
            "/area",
            {"steps_along": "1000", "steps_across": "1000"},
            "This makes 562,500 m². Check it",
            id="a farm",
        ),
        pytest.param("/soil", {"soil": "wet"}, "Choose one of this list", id="another soil"),
        pytest.param("/ground", {}, "Tick what is true", id="nothing ticked"),
        pytest.param(
            "/ground", {"steep": "yes", "no_risk": "yes"}, "Tick either what is risky", id="both"
        ),
    ],
)
def test_what_cannot_be_is_asked_again_with_all_that_was_typed(
    world: World, client: FlaskClient, part: str, fields: dict[str, str], fault: str
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    page = send(client, home, part, **fields)

    assert fault in faults_of(page)
    assert title_of(page).startswith("Error:")
    kept = form_of(page, page_of(home, part))
    assert {name: value for name, value in fields.items() if name != "soil"}.items() <= kept.items()
    assert [row.area_m2 for row in rows(world, PlotRow)] == [100]
    assert [row for row in rows(world, AuditRow) if "before" in row.detail] == []


def test_a_decision_needs_its_reason_and_can_be_taken_back(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky = send(client, home, "/ground", steep="yes")

    blank = send(client, home, "/decision", why="")
    long = send(client, home, "/decision", why="x" * 201)
    decided = send(client, home, "/decision", why="terraced last year")
    withdrawn = send(client, home, "/withdrawal")

    assert "Decide: this ground may be used" in buttons_of(risky)
    assert "Fill this in." in faults_of(blank)
    assert "Shorten this to 200 letters or fewer." in faults_of(long)
    assert "Neema Test decided on Wed 10 Mar 12:00" in text_of(decided)
    assert "The decision is taken back: nothing is given there." in result_of(withdrawn)
    assert "Decide: this ground may be used" in buttons_of(withdrawn)


def test_a_decision_about_ground_without_a_risk_is_refused(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    risky = send(client, home, "/ground", steep="yes")
    late = form_of(risky, page_of(home, "/decision"))
    send(client, home, "/ground", steep="", no_risk="yes")

    answer = client.post(page_of(home, "/decision"), data=late | {"why": "terraced"})

    assert answer.status_code == 422
    assert "Nothing risky is noted of this ground" in faults_of(answer.text)


def test_the_same_form_twice_corrects_once(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    form = form_of(client.get(page_of(home)).text, page_of(home, "/area")) | {"area_m2": "80"}

    for _ in range(2):
        assert client.post(page_of(home, "/area"), data=form).status_code == 303

    assert len([row for row in rows(world, AuditRow) if row.what == "area corrected"]) == 1


def test_a_part_that_a_plot_does_not_have_is_not_found(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    form = form_of(client.get(page_of(home)).text, page_of(home, "/soil"))

    assert client.post(page_of(home, "/letter"), data=form).status_code == 404
