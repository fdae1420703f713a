"""The page of one call: why, what to say, and what each button does."""

from datetime import date

import pytest
from flask import Flask
from flask.testing import FlaskClient

from gateway_adapters.fake_script import NoAnswer
from service.messages.phone import shown_number
from service.records.fields import FactKind, PlantingFactRow, Source
from service.records.people import AuditRow
from service.records.staff import Role
from service.records.tasks import Task, open_task
from service.records.traffic import CallTaskRow, TaskKind
from service.sign_in.staff import NewStaff
from service.web.task_words import ask_words
from tests.web.reading import (
    buttons_of,
    faults_of,
    form_of,
    headings_of,
    links_of,
    post,
    result_of,
    text_of,
    title_of,
)
from tests.web.staff import browser_of, visit_token
from tests.web.tree import parse
from tests.world import PHONE, Enrolled, World, enrol, tick_through
from tests.world_facts import another_phone
from tests.world_looks import calls, facts, rows

JUMA = NewStaff(name="juma", shown="Juma Test", role=Role.COORDINATOR, language="en")
REACHED = ["No answer", "Wrong number", "Moved away", "Wants to stop"]


@pytest.fixture
def home(world: World) -> Enrolled:
    """A household on the morning on which dose 2 of plot A has been silent for two days."""
    made = enrol(world, language="sw")
    tick_through(world, date(2027, 3, 27), date(2027, 3, 30), hours=("06:00", "18:00"))
    return made


@pytest.fixture
def path(world: World, home: Enrolled) -> str:
    """The address of the call about the silent dose."""
    (task,) = calls(world, TaskKind.SILENT)
    assert task.household_id == home.household_id
    return f"/tasks/{task.id}"


def opened(world: World, kind: TaskKind, home: Enrolled, *, key: str = "made") -> str:
    """Open a task of a kind about a household's planting; return its address."""
    with world.services.sessions.begin() as session:
        task = Task(
            kind=kind, key=key, household_id=home.household_id, planting_id=home.planting_id
        )
        return f"/tasks/{open_task(session, 1, task, now=world.clock())}"


def task_of(world: World, path: str) -> CallTaskRow:
    """Return a task as it stands."""
    return next(row for row in rows(world, CallTaskRow) if path == f"/tasks/{row.id}")


def applied(world: World) -> list[PlantingFactRow]:
    """Return what was noted of doses given."""
    return [row for row in rows(world, PlantingFactRow) if row.kind is FactKind.APPLIED]


def quoted(html: str) -> list[tuple[str, str]]:
    """Return what is to be said, was sent and came, each with its language."""
    return [(each.get("lang"), each.text) for each in parse(html).every("blockquote")]


def test_a_call_says_whom_why_and_what_in_the_growers_language(
    world: World, client: FlaskClient, path: str
) -> None:
    html = client.get(path).text
    shown = text_of(html)

    assert headings_of(html, "h1") == ["H01 H01"]
    assert title_of(html).startswith("Call ")
    assert "Area: North" in shown
    assert "No answer about dose A2 of Sunday 28 March 2027." in shown
    assert "Ask whether it was done, and on which day." in shown
    said, last, before = quoted(html)
    assert said == last == ("sw", world.bodies()[-1])
    assert before == ("sw", world.bodies()[0])
    assert "Repeat" not in shown


def test_the_number_is_masked_until_it_is_asked_for_and_that_is_written_down(
    world: World, client: FlaskClient, path: str
) -> None:
    masked = client.get(path).text
    written = post(client, f"{path}/number", masked).text

    assert shown_number(PHONE) not in text_of(masked)
    assert shown_number(PHONE) in text_of(written)
    assert PHONE not in masked
    entry = rows(world, AuditRow)[-1]
    assert (entry.what, entry.who, entry.detail) == ("number shown", "Neema Test", {})
    assert f"/tasks/{entry.subject_id}" == path


def test_the_buttons_of_a_silent_dose(client: FlaskClient, path: str) -> None:
    buttons = buttons_of(client.get(path).text)

    assert buttons == [
        "Show the number",
        "Done today",
        "Done yesterday",
        "Not done",
        *REACHED,
        "Done on that day",
    ]


@pytest.mark.parametrize(
    ("said", "on"),
    [
        pytest.param("done:today", date(2027, 3, 30), id="today"),
        pytest.param("done:yesterday", date(2027, 3, 29), id="yesterday"),
    ],
)
def test_one_press_notes_the_day(
    world: World, client: FlaskClient, path: str, said: str, on: date
) -> None:
    answer = post(client, path, path, said=said)

    assert answer.status_code == 303
    (fact,) = applied(world)
    assert (fact.on, fact.source, fact.noted_by) == (on, Source.CALL, "Neema Test")


def test_another_day_is_typed(world: World, client: FlaskClient, home: Enrolled, path: str) -> None:
    answer = post(client, path, path, said="done:that-day", on="28 March 2027")

    assert answer.status_code == 303
    assert [fact.on for fact in facts(world, home, FactKind.APPLIED)] == [date(2027, 3, 28)]
    page = client.get(answer.headers["Location"]).text
    assert "Noted: A2 done on Sunday 28 March 2027." in result_of(page)


@pytest.mark.parametrize(
    ("typed", "fault"),
    [
        pytest.param("soon", "Type the date like 27 March 2027", id="no day"),
        pytest.param("4 April 2027", "That day is still to come.", id="to come"),
        pytest.param("", "Type the date like 27 March 2027", id="blank"),
    ],
)
def test_a_day_that_cannot_be_taken_stays_in_its_field(
    world: World, client: FlaskClient, path: str, typed: str, fault: str
) -> None:
    answer = post(client, path, path, said="done:that-day", on=typed)

    assert answer.status_code == 422
    assert fault in faults_of(answer.text)
    assert title_of(answer.text).startswith("Error: Call ")
    assert form_of(answer.text, path, on=typed)
    assert applied(world) == []


def test_a_press_that_the_page_does_not_offer_is_refused(
    world: World, client: FlaskClient, path: str
) -> None:
    answer = post(client, path, path, said="up:today")

    assert answer.status_code == 422
    assert "That does not fit any more." in faults_of(answer.text)
    assert task_of(world, path).closed_at is None


def test_no_answer_comes_back_tomorrow(world: World, client: FlaskClient, path: str) -> None:
    answer = post(client, path, path, said="no answer")
    after = client.get(answer.headers["Location"]).text
    today = client.get("/").text

    assert "Noted: no answer, call 1 of 3. It comes back on Wednesday 31 March 2027." in result_of(
        after
    )
    assert path not in links_of(today).values()
    assert "1 call rests until a later day." in text_of(today)
    world.tick("2027-03-31T06:00")
    assert path in links_of(client.get("/").text).values()
    assert "1 call was not answered." in text_of(client.get(path).text)


def test_the_line_after_a_wrong_number_says_where_to_write_the_right_one(
    client: FlaskClient, path: str
) -> None:
    answer = post(client, path, path, said="wrong number")

    said = result_of(client.get(answer.headers["Location"]).text)
    assert "Enter the right number on the page of household H01." in said


def test_of_several_phones_the_wrong_one_is_named(
    world: World, client: FlaskClient, home: Enrolled, path: str
) -> None:
    other = another_phone(world, home, number="+255100000007")
    html = client.get(path).text
    named = [button.replace(" ", "") for button in buttons_of(html)]
    answer = post(client, path, html, said=f"wrong number:{other}")

    assert [button[-3:] for button in named if button.startswith("Wrong")] == ["001", "007"]
    assert answer.status_code == 303
    assert task_of(world, path).outcome == "wrong number"


@pytest.mark.parametrize(
    ("said", "line"),
    [
        pytest.param("moved away", "household H01 has moved away", id="moved"),
        pytest.param("wants to stop", "phones of household H01 have stopped", id="stop"),
    ],
)
def test_who_left_or_wants_no_texts_gets_none(
    client: FlaskClient, path: str, said: str, line: str
) -> None:
    answer = post(client, path, path, said=said)

    assert line in result_of(client.get(answer.headers["Location"]).text)


def test_the_last_call_leads_back_to_today(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    path = opened(world, TaskKind.BURNT, home)

    answer = post(client, path, path, said="spoken to")

    assert answer.headers["Location"] == "/"


def test_who_comes_second_sees_what_the_first_has_noted(
    world: World, app: Flask, client: FlaskClient, home: Enrolled, path: str
) -> None:
    juma = browser_of(app, visit_token(world, JUMA))
    seen = client.get(path).text
    post(juma, path, path, said="done:yesterday")

    answer = post(client, path, seen, said="not done")

    assert answer.headers["Location"] == path
    after = client.get(path).text
    assert result_of(after).endswith(
        "Already settled by Juma Test, Tue 30 Mar 18:00: done on Monday 29 March 2027."
    )
    assert facts(world, home, FactKind.NOT_APPLIED) == []
    assert "Settled: done on Monday 29 March 2027. Juma Test, Tue 30 Mar 18:00" in text_of(after)
    assert "Not done" not in buttons_of(after)


def test_what_the_grower_told_meanwhile_settles_the_call(
    world: World, client: FlaskClient, path: str
) -> None:
    seen = client.get(path).text
    world.text("A2", at="2027-03-30T19:00")

    answer = post(client, path, seen, said="not done")

    after = result_of(client.get(answer.headers["Location"]).text)
    assert "Already settled, Tue 30 Mar 19:00: news of the dose has come." in after


def test_the_same_form_twice_counts_once(world: World, client: FlaskClient, path: str) -> None:
    fields = form_of(client.get(path).text, path) | {"said": "no answer"}
    client.post(path, data=fields)
    client.post(path, data=fields)

    assert task_of(world, path).tries == 1


def test_a_call_that_came_back_after_a_sign_in_is_shown_and_not_saved(
    world: World, client: FlaskClient, path: str
) -> None:
    fields = form_of(client.get(path).text, path) | {
        "said": "done:that-day",
        "on": "28 3 2027",
        "resume": "yes",
    }
    html = client.post(path, data=fields).text

    assert "Choose once more what came of the call." in result_of(html)
    assert form_of(html, path, on="28 3 2027")
    assert task_of(world, path).closed_at is None


def test_plants_are_asked_about_in_the_growers_language(
    world: World, client: FlaskClient, home: Enrolled
) -> None:
    path = opened(world, TaskKind.EMERGENCE, home)
    html = client.get(path).text

    assert "Nobody has told whether the plants on plot A are up." in text_of(html)
    assert quoted(html)[0][0] == "sw"
    assert "Shamba A" in quoted(html)[0][1]
    assert buttons_of(html)[1:4] == [
        "Most plants are up since today",
        "Most plants are up since yesterday",
        "Not yet",
    ]
    answer = post(client, path, html, said="up:that-day", on="24/3/2027")
    assert answer.status_code == 303
    assert [fact.on for fact in facts(world, home, FactKind.EMERGED)] == [date(2027, 3, 24)]


def test_plants_not_up_yet_come_back_in_three_days(
    world: World, client: FlaskClient, home: Enrolled
) -> None:
    path = opened(world, TaskKind.EMERGENCE, home)
    answer = post(client, path, path, said="not yet")

    said = result_of(client.get(answer.headers["Location"]).text)
    assert "Noted: not up yet. This call comes back on Friday 2 April 2027." in said
    assert task_of(world, path).rests_until == date(2027, 4, 2)


def test_a_home_that_is_told_by_call_hears_its_reminder(world: World, client: FlaskClient) -> None:
    enrol(world, needs_call=True)
    world.tick("2027-03-14T18:00")
    (task,) = calls(world, TaskKind.BY_CALL)
    html = client.get(f"/tasks/{task.id}").text

    assert "Mon 15 Mar: maize, plot A." in quoted(html)[0][1]
    assert "Say it, and ask whether it was done already." in text_of(html)
    assert buttons_of(html)[1:] == [
        "Told",
        "Done today",
        "Done yesterday",
        "Not done",
        *REACHED,
        "Done on that day",
    ]


def test_a_text_that_may_not_have_left_is_said_as_it_stands(
    world: World, client: FlaskClient
) -> None:
    enrol(world)
    world.tick("2027-03-14T17:50")
    world.gateway.script = [NoAnswer(delivered=False)]
    world.tick("2027-03-14T18:00")
    world.tick("2027-03-14T18:05")
    (task,) = calls(world, TaskKind.UNKNOWN)
    html = client.get(f"/tasks/{task.id}").text

    assert headings_of(html, "h1") == ["H01 H01"]
    assert "Mon 15 Mar: maize, plot A." in quoted(html)[0][1]
    assert buttons_of(html)[1:5] == ["Told", "Done today", "Done yesterday", "Not done"]


def test_the_next_task_follows_in_the_order_and_then_from_the_top(
    world: World, client: FlaskClient, home: Enrolled, path: str
) -> None:
    other = opened(world, TaskKind.BURNT, home)
    order = [path, other]
    for task in calls(world):
        if f"/tasks/{task.id}" not in order:
            post(client, f"/tasks/{task.id}", f"/tasks/{task.id}", said="no answer")

    assert links_of(client.get(path).text)["Next task (1 more waits)"] == other
    assert links_of(client.get(other).text)["Next task (1 more waits)"] == path


@pytest.mark.parametrize("kind", TaskKind)
def test_every_kind_of_task_has_a_page_that_says_why(
    world: World, client: FlaskClient, home: Enrolled, kind: TaskKind
) -> None:
    path = opened(world, kind, home)
    html = client.get(path).text

    assert " since " in text_of(html)
    assert ask_words(kind).text in text_of(html)
    assert "No answer" in buttons_of(html)


def test_a_task_that_there_is_not_is_not_found(client: FlaskClient) -> None:
    assert client.get("/tasks/9999").status_code == 404


def test_a_kind_that_there_is_not_lists_the_calls(client: FlaskClient) -> None:
    assert headings_of(client.get("/tasks?kind=nonsense").text, "h1") == ["Call now (0)"]


def test_a_list_of_tasks_shows_25_a_page(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    for number in range(30):
        opened(world, TaskKind.BURNT, home, key=f"n{number}")
    first = client.get("/tasks?kind=call").text
    second = client.get(links_of(first)["Next"]).text

    assert headings_of(first, "h1") == ["Call now (30)"]
    assert first.count("Leaves are burnt on plot A.") == 25
    assert second.count("Leaves are burnt on plot A.") == 5
    assert "Nothing here now." in text_of(client.get("/tasks?kind=mine").text)
