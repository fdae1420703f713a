"""What a coordinator writes down about a planting, and what the result line says next.

Maize on plot A, sown on 15 March; doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May;
the last day for a dose is 6 June.
"""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.confirmations.crop_news import confirm_harvest
from service.confirmations.doses import confirm_done
from service.records.fields import FactKind, Flag, HoldRow, PlantingRow, Source
from service.records.traffic import TaskKind
from tests.web.reading import fields_of, form_of, post, result_of, text_of
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import by_call
from tests.world_looks import calls, dose, facts, rows


def page_of(home: Enrolled) -> str:
    return f"/plantings/{home.planting_id}/news"


def said(client: FlaskClient, home: Enrolled, **fields: str) -> str:
    """Fill in the form, and return the result line of the page that follows."""
    answer = post(client, page_of(home), page_of(home), **fields)
    assert answer.status_code == 303, text_of(answer.text)
    assert answer.location == f"/plantings/{home.planting_id}"
    return result_of(client.get(answer.location).text).removeprefix("✓ Done: ")


def refused(client: FlaskClient, home: Enrolled, **fields: str) -> str:
    """Fill in the form, and return what is to be mended; what was typed is still there."""
    answer = post(client, page_of(home), page_of(home), **fields)
    assert answer.status_code == 422
    again = form_of(answer.text, page_of(home))
    assert {name: value for name, value in fields.items() if value}.items() <= again.items()
    box = next(each for each in parse(answer.text).every() if each.get("role") == "alert")
    return box.text


def test_a_dose_done_is_noted_with_the_next_step(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")

    line = said(client, home, what="done", dose="3", when="yesterday")

    assert line == ("Noted: A3 done on Saturday 3 April 2027. Next: A4 on Sunday 11 April 2027.")
    fact = facts(world, home, FactKind.APPLIED)[0]
    assert (fact.dose_number, fact.on) == (3, date(2027, 4, 3))
    assert (fact.source, fact.noted_by) == (Source.CALL, "Neema Test")


def test_a_late_dose_moves_the_next_and_the_line_says_so(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-03T12:00")

    line = said(client, home, what="done", dose="2", when="today")

    assert line == (
        "Noted: A2 done on Saturday 3 April 2027. Next: A3, moved to Thursday 8 April 2027."
    )


def test_a_dose_after_the_last_day_is_answered_with_the_harvest(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-06-10T12:00")

    line = said(client, home, what="done", dose="7", when="other", day="8 June 2027")

    assert line == (
        "Noted: A7 done. Give no dose after it. Do not harvest or eat before Thursday 8 July 2027."
    )
    assert facts(world, home, FactKind.APPLIED)[0].flag is Flag.AFTER_CUTOFF


def test_a_dose_not_done_is_noted_as_of_today(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-05T12:00")

    line = said(client, home, what="not-done", dose="3")

    assert line == (
        "Noted: A3 not done. Its last day is Saturday 10 April 2027; after that it is left out,"
        " not made up."
    )
    assert [fact.on for fact in facts(world, home, FactKind.NOT_APPLIED)] == [date(2027, 4, 5)]


@pytest.mark.parametrize(
    ("fields", "line"),
    [
        pytest.param(
            {"what": "sown", "when": "other", "day": "18/3/2027"},
            "Noted: plot A sown on Thursday 18 March 2027. Next dose: A2 on"
            " Wednesday 31 March 2027.",
            id="sown",
        ),
        pytest.param(
            {"what": "up", "when": "yesterday"},
            "Noted: plants up on plot A on Wednesday 24 March 2027. Next dose: A2 on"
            " Wednesday 31 March 2027.",
            id="up",
        ),
        pytest.param(
            {"what": "burnt"},
            "Noted: leaves burnt on plot A. The next dose waits 7 days: look at the plants before"
            " then.",
            id="burnt",
        ),
    ],
)
def test_news_of_the_crop_is_noted_with_the_next_step(
    world: World, client: FlaskClient, fields: dict[str, str], line: str
) -> None:
    home = enrol(world)
    world.tick("2027-03-25T12:00")

    assert said(client, home, **fields) == line


def test_rain_makes_the_open_dose_wait_two_days(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-28T12:00")

    line = said(client, home, what="rain")

    assert line == "Noted: rain. A2 waits until Tuesday 30 March 2027."
    assert [row.noted_by for row in rows(world, HoldRow)] == ["Neema Test"]


def test_a_harvest_ends_the_planting_and_its_form(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-07-20T12:00")

    line = said(client, home, what="harvest", when="today")
    page = client.get(page_of(home)).text

    assert line == ("Noted: plot A harvested on Tuesday 20 July 2027. This planting is closed.")
    assert "This planting is closed." in text_of(page)
    assert not list(parse(page).every("form"))


def test_a_form_that_was_open_while_the_planting_closed_notes_nothing(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-07-20T12:00")
    page = client.get(page_of(home)).text
    by_call(world, lambda desk: confirm_harvest(desk, home.planting_id, on=date(2027, 7, 20)))

    answer = post(client, page_of(home), page, what="done", dose="7", when="today")

    assert answer.status_code == 422
    assert "Nothing more can be noted for it." in text_of(answer.text)
    assert facts(world, home, FactKind.APPLIED) == []


def test_pressing_twice_notes_once(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")
    page = client.get(page_of(home)).text

    post(client, page_of(home), page, what="burnt")
    answer = post(client, page_of(home), page, what="burnt")

    assert "Already saved at" in result_of(client.get(answer.location).text)
    assert len(facts(world, home, FactKind.BURNT)) == 1


def test_an_empty_form_asks_what_happened(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")

    assert "What happened?: Choose one of this list." in refused(client, home)
    assert "Choose the dose that was done or not done." in refused(client, home, what="done")
    assert "When?: Choose one of this list." in refused(client, home, what="up", when="")


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        pytest.param(
            {"what": "up", "when": "other", "day": "last week"},
            "Another day: Type the date like 27 March 2027 or 27/3/2027.",
            id="no date",
        ),
        pytest.param(
            {"what": "harvest", "when": "other", "day": "5 April 2027"},
            "Another day: Write a day up to today, at most 300 days back.",
            id="to come",
        ),
        pytest.param(
            {"what": "sown", "when": "other", "day": "15 3 2026"},
            "Another day: Write a day up to today, at most 300 days back.",
            id="a year back",
        ),
        pytest.param(
            {"what": "harvest", "when": "other", "day": "1 March 2027"},
            "Another day: It was sown or planted out on Monday 15 March 2027. Write a later day.",
            id="harvest before sowing",
        ),
        pytest.param(
            {"what": "rain", "when": "yesterday"},
            "When?: This is noted as of today. Choose today.",
            id="rain of yesterday",
        ),
        pytest.param(
            {"what": "up", "when": "other", "day": "16 March 2027"},
            "Another day: That is too soon after sowing for plants to be up.",
            id="up too soon",
        ),
        pytest.param(
            {"what": "done", "dose": "4", "when": "today"},
            "When?: That is more than two days before this dose's day.",
            id="not due yet",
        ),
        pytest.param(
            {"what": "done", "dose": "8", "when": "today"},
            "Choose the dose that was done or not done.",
            id="no such dose",
        ),
    ],
)
def test_what_cannot_be_right_is_asked_again(
    world: World, client: FlaskClient, fields: dict[str, str], fault: str
) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")
    answer = post(client, page_of(home), page_of(home), **fields)

    assert answer.status_code == 422
    assert fault in text_of(answer.text)
    assert [fact.kind for fact in facts(world, home, *FactKind)] == []


@pytest.mark.parametrize(
    ("what", "day"), [("sown", "2 June 2027"), ("up", "18 July 2027")], ids=["sown", "up"]
)
def test_nothing_grows_after_the_first_harvest(
    world: World, client: FlaskClient, what: str, day: str
) -> None:
    """Maize is harvested on 18 July, or on the day that was entered: 1 June."""
    home = enrol(world)
    if what == "sown":
        with world.services.sessions.begin() as session:
            row = session.get_one(PlantingRow, home.planting_id)
            row.first_harvest_on = date(2027, 6, 1)
    world.tick("2027-07-20T12:00")

    fault = refused(client, home, what=what, when="other", day=day)

    assert "The first harvest is expected on" in fault
    assert "Write an earlier day." in fault


def test_what_was_typed_stays_when_it_is_asked_again(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")

    assert refused(client, home, what="done", dose="3", when="other", day="31 april")


def test_a_dose_noted_as_done_is_not_noted_as_not_done(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    page = client.get(page_of(home)).text
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 1, on=date(2027, 3, 15)))

    answer = post(client, page_of(home), page, what="not-done", dose="1")

    assert answer.status_code == 422
    assert "This dose is noted as done." in text_of(answer.text)


def test_only_open_and_late_doses_are_offered(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    nothing = text_of(client.get(page_of(home)).text)
    world.tick("2027-04-02T12:00")
    page = client.get(page_of(home)).text
    offered = [
        each.get("value") for each in parse(page).every("input") if each.get("name") == "dose"
    ]

    assert "A dose was done" not in nothing
    assert offered == ["2", "3"]
    assert "A2 Sun 28 Mar: due, open now" in text_of(page)


def test_a_form_that_comes_back_after_a_sign_in_is_shown_and_not_saved(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-04-04T12:00")
    form = next(parse(client.get(page_of(home)).text).every("form"))

    answer = client.post(page_of(home), data=fields_of(form) | {"what": "burnt", "resume": "yes"})

    assert answer.status_code == 200
    assert form_of(answer.text, page_of(home))["what"] == "burnt"
    assert facts(world, home, FactKind.BURNT) == []


def test_a_dose_from_a_can_that_was_not_ready_says_what_to_do(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, sealed_on=date(2027, 3, 10))
    world.tick("2027-03-15T12:00")

    line = said(client, home, what="done", dose="1", when="today")

    assert line == (
        "Noted: A1 done, from a can that was not ready. Wash hands and tools with soap. Do not"
        " harvest or eat before Wednesday 14 April 2027."
    )
    assert calls(world, TaskKind.NOT_READY)
    assert dose(world, home, 1).state.value == "done"
