"""What a coordinator enrols by the form, and what the pages say of it."""

import pytest
from flask.testing import FlaskClient

from service.records.fields import PlotRow
from service.records.people import PhoneRow
from tests.web.enrolling import CAN, HOUSE, MAIZE, PHONE, PLOT, WHOLE, YES, household_of
from tests.web.enrolling import send_enrolment as send
from tests.web.reading import faults_of, form_of, links_of, post, result_of, text_of
from tests.world import World
from tests.world_looks import rows, sent_kinds

NUMBER = "+255100000007"


def test_name_and_area_are_enough_to_begin(client: FlaskClient) -> None:
    """E1: save with two fields only -> the household page says what is missing for a plan."""
    saved = send(client, **HOUSE)

    page = client.get(f"/households/{household_of(saved)}").text
    assert "Mti Test" in text_of(page)
    assert {"a plot", "a planting", "a can", "a phone"} <= links_of(page).keys()


def test_a_spoken_yes_brings_one_invitation_and_only_yes_brings_reminders(
    world: World, client: FlaskClient
) -> None:
    """E2: without consent 0 texts; with it 1 invitation; no reply -> never a dose text."""
    send(client, **(WHOLE | {"said": ""}))
    world.tick("2027-02-20T18:00")
    assert world.bodies(NUMBER) == []
    page = "/households/1/add/consent"
    done = post(client, page, page, said="yes", phone_id="1")
    assert done.status_code == 303

    world.tick("2027-02-21T18:00")
    world.tick("2027-03-14T18:00")
    assert sent_kinds(world) == ["consent"]

    world.text("YES", number=NUMBER, at="2027-03-14T18:05")
    assert sent_kinds(world)[:2] == ["consent", "welcome"]


@pytest.mark.parametrize("typed", ["0100 000 007", "+255100000007", "255100000007"])
def test_a_number_in_any_form_is_one_number(typed: str, world: World, client: FlaskClient) -> None:
    """E5: `0…` with blanks, `+255…`, `255…` -> one stored value, shown back in one form."""
    saved = send(client, **(HOUSE | {"number": typed}))

    page = client.get(f"/households/{household_of(saved)}").text
    assert "+255 100000007" in result_of(page)
    assert [phone.number for phone in rows(world, PhoneRow)] == [NUMBER]


def test_a_number_in_use_points_to_its_household_and_can_be_shared(
    world: World, client: FlaskClient
) -> None:
    """E5: second household gets "already used by …, share it?"."""
    send(client, **(HOUSE | PHONE))
    again = HOUSE | PHONE | {"alias": "Jiwe Test"}

    refused = send(client, **again)
    assert refused.status_code == 422
    assert "already used by Mti Test (001)" in faults_of(refused.text)
    shared = post(client, "/enrol", refused.text, share="yes")

    page = client.get(f"/households/{household_of(shared)}").text
    assert "shared with 001" in text_of(page)
    assert len(rows(world, PhoneRow)) == 1


def test_an_area_in_steps_becomes_square_metres(world: World, client: FlaskClient) -> None:
    """E6: 20 by 12 steps at 0.75 m a step -> 135 m² (15 m by 9 m)."""
    steps = {"steps_along": "20", "steps_across": "12", "step_m": "0,75"}

    saved = send(client, **(HOUSE | steps))

    assert "135 m²" in result_of(client.get(f"/households/{household_of(saved)}").text)
    assert [plot.area_m2 for plot in rows(world, PlotRow)] == [135.0]


def test_a_plot_near_a_stream_is_warned_of_with_the_rule_and_its_source(
    client: FlaskClient,
) -> None:
    """E6: 4 m from a stream -> warned with the buffer (surface water 5 m) and its source."""
    stream = {"water_kind": "stream", "water_m": "4"}

    saved = send(client, **(HOUSE | PLOT | stream))

    page = client.get(f"/households/{household_of(saved)}").text
    assert "keep 5 m clear of it" in result_of(page)
    assert "Louth" in result_of(page)
    assert "within 5 m of it (source: " in client.get("/households/1").text


def test_early_picking_moves_the_cutoff(client: FlaskClient) -> None:
    """E7: tomato with first pick day 70 -> cut-off day 40, and the one-month rule binds.

    Day 70 after planting on 15 March is 24 May; a month of 30 days before it, 24 April, is day 40.
    """
    tomato = {"crop": "tomato", "planted_on": "15/3/2027", "season": "rains"}

    saved = send(client, **(HOUSE | PLOT | tomato | {"first_harvest_days": "70"}))

    links = links_of(client.get(f"/households/{household_of(saved)}").text)
    planting = next(path for path in links.values() if path.startswith("/plantings/"))
    shown = text_of(client.get(planting).text)
    assert "24 April 2027" in shown
    assert "month" in shown


@pytest.mark.parametrize(
    ("eats", "ready"),
    [
        pytest.param("own-household", "24 January 2027", id="own household"),
        pytest.param("general", "9 February 2027", id="general"),
        pytest.param("sold-any", "12 July 2027", id="sold"),
    ],
)
def test_a_sealed_can_shows_the_day_it_is_ready(eats: str, ready: str, client: FlaskClient) -> None:
    """E8: sealed 2027-01-10: ready 01-24 own household, 02-09 general, 07-12 sold."""
    saved = send(client, **(HOUSE | CAN | {"eats": eats}))

    page = client.get(f"/households/{household_of(saved)}").text
    assert ready in result_of(page)
    assert ready in text_of(page)


def test_joining_is_a_wish_until_a_person_enrols_and_a_yes_is_recorded(
    world: World, client: FlaskClient
) -> None:
    """E11: JOIN from an unknown number -> 1 request, a second adds nothing, no reminder yet."""
    world.text("JOIN", number=NUMBER, at="2027-02-20T10:00")
    world.text("JOIN", number=NUMBER, at="2027-02-20T10:20")

    today = client.get("/").text
    asked = [path for path in links_of(today).values() if path.startswith("/enrol?request=")]
    assert len(asked) == 1
    form = client.get(asked[0]).text
    assert form_of(form, "/enrol")["number"] == NUMBER
    fields = HOUSE | PLOT | MAIZE | CAN
    household_of(post(client, "/enrol", form, **fields))
    world.tick("2027-03-14T18:00")

    assert "/enrol?request=" not in client.get("/").text
    assert "consent" not in sent_kinds(world)
    page = "/households/1/add/consent"
    post(client, page, page, **YES, phone_id="1")
    world.tick("2027-03-15T18:00")
    assert "consent" in sent_kinds(world)
