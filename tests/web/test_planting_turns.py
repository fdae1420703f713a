"""The pages for what is told of a planting more rarely: turns of its season, and its eaters.

Maize on plot A, planned for 15 March: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May.
"""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.confirmations.crop_news import confirm_burnt, confirm_sown
from service.confirmations.crop_turns import confirm_failed
from service.records.fields import FactKind, PlantingRow
from service.records.traffic import TaskKind
from tests.web.reading import faults_of, form_of, links_of, post, result_of, text_of
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import by_call
from tests.world_looks import calls, dose, facts, rows

TURNS = (FactKind.FAILED, FactKind.RESOWN, FactKind.PUT_OFF, FactKind.ELSEWHERE, FactKind.GO_ON)


def page_of(home: Enrolled, part: str = "/turn") -> str:
    return f"/plantings/{home.planting_id}{part}"


def choices(client: FlaskClient, home: Enrolled) -> list[str]:
    """Return the turns that the page offers, in their order."""
    page = parse(client.get(page_of(home)).text)
    return [each.get("value") for each in page.every("input") if each.get("name") == "what"]


def test_say_what_happened_leads_to_the_rarer_news(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    links = links_of(client.get(page_of(home, "/news")).text)

    assert links["Somebody else eats this crop"] == page_of(home, "/eaters")
    assert page_of(home) in links.values()


def test_only_what_may_have_happened_is_offered(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-16T12:00")
    before = choices(client, home)

    by_call(world, lambda desk: confirm_sown(desk, home.planting_id, on=date(2027, 3, 15)))
    by_call(world, lambda desk: confirm_burnt(desk, home.planting_id))

    assert before == ["failed", "resown", "put-off", "given-before"]
    assert choices(client, home) == ["go-on", "failed", "resown", "given-before"]


def test_a_sowing_put_off_is_said_with_its_next_dose(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    answer = post(client, page_of(home), page_of(home), what="put-off", day="20/3/2027")
    page = client.get(answer.location).text

    assert result_of(page) == (
        "✓ Done: Noted: plot A is to be sown on Saturday 20 March 2027. Next dose on"
        " Saturday 20 March 2027."
    )
    assert "Sowing put off to Sat 20 Mar" in text_of(page)


def turned(client: FlaskClient, home: Enrolled, **fields: str) -> str:
    """Note a turn of the season, and return the result line."""
    answer = post(client, page_of(home), page_of(home), **fields)
    assert answer.status_code == 303, faults_of(answer.text)
    return result_of(client.get(answer.location).text)


def test_a_failed_crop_ends_its_planting_and_its_calls(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-28T06:00")
    assert calls(world, TaskKind.EMERGENCE)

    line = turned(client, home, what="failed", day="28 March 2027")

    assert "Noted: the crop on plot A failed or never came up" in line
    page = text_of(client.get(page_of(home, "")).text)
    assert "The crop failed or never came up, told for Sunday 28 March 2027." in page
    assert "dropped The crop failed, or never came up." in page
    assert calls(world, TaskKind.EMERGENCE) == []


def test_a_plot_sown_again_shows_its_new_days(world: World, client: FlaskClient) -> None:
    """Sown again on 29 March, so up on 4 April as assumed; dose 3 is due on 18 April."""
    home = enrol(world)
    world.tick("2027-03-30T12:00")

    line = turned(client, home, what="resown", day="29/3/2027")

    assert "Noted: plot A sown again on Monday 29 March 2027." in line
    page = text_of(client.get(page_of(home, "")).text)
    assert "Sown again on Mon 29 Mar" in page
    assert dose(world, home, 3).due_on == date(2027, 4, 18)


@pytest.mark.parametrize(
    ("fields", "field", "fault"),
    [
        pytest.param({"what": ""}, "what", "Choose one of this list", id="nothing chosen"),
        pytest.param({"what": "failed"}, "day", "27 March 2027", id="no day"),
        pytest.param(
            {"what": "failed", "day": "5/4/2026"}, "day", "at most 300 days back", id="last year"
        ),
        pytest.param(
            {"what": "failed", "day": "6/4/2027"}, "day", "still to come", id="failed tomorrow"
        ),
        pytest.param(
            {"what": "resown", "day": "15/3/2027"}, "day", "after the first sowing", id="same day"
        ),
        pytest.param(
            {"what": "put-off", "day": "1/4/2027"}, "day", "That day has passed", id="put back"
        ),
        pytest.param(
            {"what": "given-before", "day": "4/4/2027", "litres": "20"},
            "dose",
            "Choose one of this list",
            id="no dose chosen",
        ),
        pytest.param(
            {"what": "given-before", "day": "4/4/2027", "dose": "3", "litres": "151"},
            "litres",
            "Write a number from 0 to 150",
            id="too many litres",
        ),
        pytest.param(
            {"what": "given-before", "day": "4/4/2027", "dose": "3", "litres": "0"},
            "litres",
            "more than 0",
            id="no litres",
        ),
        pytest.param({"what": "go-on"}, "what", "No burnt leaves are noted here", id="no burn"),
    ],
)
def test_a_turn_that_cannot_be_is_asked_again_with_all_that_was_typed(
    world: World, client: FlaskClient, fields: dict[str, str], field: str, fault: str
) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")

    answer = post(client, page_of(home), page_of(home), **fields)

    assert answer.status_code == 422
    assert fault in faults_of(answer.text)
    assert f'href="#{field}"' in answer.text
    kept = form_of(answer.text, page_of(home))
    assert {name: kept.get(name) for name in ("day", "litres") if name in fields} == {
        name: fields[name] for name in ("day", "litres") if name in fields
    }
    assert facts(world, home, *TURNS) == []


def test_a_day_after_the_first_harvest_is_no_day_to_sow(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, home.planting_id).first_harvest_on = date(2027, 6, 1)
    world.tick("2027-03-10T12:00")

    answer = post(client, page_of(home), page_of(home), what="put-off", day="1 June 2027")

    assert answer.status_code == 422
    assert "The first harvest is expected on Tuesday 1 June 2027." in faults_of(answer.text)


def test_a_closed_planting_takes_no_turn_and_says_how_it_ended(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")
    open_form = form_of(client.get(page_of(home)).text, page_of(home))
    by_call(world, lambda desk: confirm_failed(desk, home.planting_id, on=desk.today))
    ended = "The crop failed or never came up, told for Monday 5 April 2027."

    late = client.post(page_of(home), data=open_form | {"what": "failed", "day": "5/4/2027"})

    assert late.status_code == 422
    for part in ("", "/news", "/turn", "/eaters"):
        assert ended in text_of(client.get(page_of(home, part)).text)
    household = text_of(client.get(f"/households/{home.household_id}").text)
    assert "failed or never came up, told for Monday 5 April 2027" in household
    assert "harvested on" not in household


def test_the_eaters_of_the_household_hold_until_others_are_named(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    page = page_of(home, "/eaters")
    before = form_of(client.get(page).text, page)["eats"]

    post(client, page, page, eats="own-household")
    named = form_of(client.get(page).text, page)["eats"]
    back = post(client, page, page, eats="household")
    line = result_of(client.get(back.location).text)
    unknown = post(client, page, page, eats="goats")

    assert (before, named) == ("household", "own-household")
    assert "Noted: eaten as in the whole household." in line
    assert unknown.status_code == 422
    assert [row.regime for row in rows(world, PlantingRow)] == [None]
