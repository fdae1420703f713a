"""What the coordinator sees on Today, and how a call is settled with one press."""

from datetime import date

from flask.testing import FlaskClient

from gateway_adapters.contract import Rejected, RejectKind, Scope
from gateway_adapters.fake_script import NoAnswer
from service.messages.lifecycle import State
from service.records.traffic import TaskKind
from tests.web.homes import bare_home
from tests.web.reading import headings_of, links_of, post, result_of, text_of
from tests.world import World, enrol, tick_through
from tests.world_looks import calls, sent_kinds, states

STRANGER = "+255100000055"
HOURS = ("06:00", "18:00")


def test_a_home_without_a_phone_is_called_the_evening_before(
    world: World, client: FlaskClient
) -> None:
    """E3: no phone, or nobody who reads -> the dose's call stands on Today the evening before."""
    enrol(world, needs_call=True)
    world.tick("2027-03-26T18:00")
    before = text_of(client.get("/").text)
    world.tick("2027-03-27T18:00")

    after = text_of(client.get("/").text)

    assert "dose A2" not in before
    assert "No text goes to them: tell them dose A2 of Sunday 28 March 2027." in after
    assert sent_kinds(world) == []


def test_join_from_a_stranger_is_a_request_and_no_household(
    world: World, client: FlaskClient
) -> None:
    """E11: JOIN -> Today shows 1 request; 0 reminders; a second JOIN adds nothing."""
    bare_home(world)
    world.text("JOIN", number=STRANGER, at="2027-03-20T12:00")
    world.text("JOIN", number=STRANGER, at="2027-03-21T12:00")
    tick_through(world, date(2027, 3, 22), date(2027, 4, 1), hours=HOURS)

    html = client.get("/").text

    (task,) = calls(world, TaskKind.ENROL)
    assert "Wishes to join (1)" in headings_of(html, "h2")
    assert links_of(html)["Enrol this household"] == f"/enrol?request={task.id}"
    assert STRANGER not in html
    assert "•055" in html.replace(" ", "")
    assert set(sent_kinds(world)) == {"join_ok"}


def test_what_could_not_be_told_in_time_stands_under_not_told(
    world: World, client: FlaskClient
) -> None:
    """M2: the reminder expired at 20:00 -> the coordinator sees it under "not told"."""
    enrol(world)
    world.tick("2027-03-27T17:50")
    down = Rejected(kind=RejectKind.TRANSIENT, scope=Scope.ROUTE, code="no-network")
    world.gateway.script = [down] * 100
    for at in ("18:00", "18:30", "19:00", "19:59", "20:00"):
        world.tick(f"2027-03-27T{at}")
    world.gateway.script = []
    world.tick("2027-03-28T06:00")

    html = client.get("/").text

    assert State.EXPIRED in states(world, "dose")
    assert "Not told (1)" in headings_of(html, "h2")
    assert "No text could leave in time for dose A2 of Sunday 28 March 2027." in text_of(html)


def test_a_text_that_may_have_left_stands_on_today_and_is_not_sent_again(
    world: World, client: FlaskClient
) -> None:
    """M7: fault "no answer" -> unknown, on Today; 10 more steps -> still 1 submit."""
    enrol(world)
    world.tick("2027-03-27T17:50")
    world.gateway.script = [NoAnswer(delivered=False)]
    world.tick("2027-03-27T18:00")
    for minute in range(1, 11):
        world.tick(f"2027-03-27T18:{minute:02d}")

    html = client.get("/").text

    assert states(world, "dose")[-1] is State.UNKNOWN
    assert "Not known whether sent (1)" in headings_of(html, "h2")
    assert "We do not know whether this text left. Call and say it." in text_of(html)
    assert len(world.gateway.submitted()) == 1


def test_today_shows_each_list_with_its_count_and_says_where_one_is_empty(
    world: World, client: FlaskClient
) -> None:
    """T1: each list with its count; an empty state has a sentence and the next step."""
    enrol(world)
    world.tick("2027-03-14T12:00")
    empty = text_of(client.get("/").text)
    tick_through(world, date(2027, 3, 14), date(2027, 3, 29), hours=HOURS)
    world.text("perhaps A2 <b>or so?", at="2027-03-30T12:00")
    world.text("A RAIN", at="2027-03-30T12:05")
    world.tick("2027-03-31T06:00")

    html = client.get("/").text

    assert "Nobody to call. Next texts go out today, from Sun 14 Mar 18:00: 1." in empty
    assert "Nothing to read." in empty
    headings = headings_of(html, "h2")
    assert headings[:2] == ["Call now (3)", "Texts to read (1)"]
    assert "Doses on hold (1)" in headings
    assert "Going out by itself" in headings
    assert "perhaps A2 <b>or so?" in text_of(html)


def test_from_today_to_the_next_task_in_three_pages(world: World, client: FlaskClient) -> None:
    """T2: outcome by one press; from Today to the next task in 3 page loads."""
    enrol(world, needs_call=True)
    second = enrol(world, code="H02", number="+255100000002", needs_call=True)
    world.tick("2027-03-14T18:00")
    one, two = calls(world)

    today = client.get("/").text
    task = client.get(f"/tasks/{one.id}").text
    answer = post(client, f"/tasks/{one.id}", task, said="told")
    following = client.get(answer.headers["Location"]).text

    assert f"/tasks/{one.id}" in links_of(today).values()
    assert (answer.status_code, answer.headers["Location"]) == (303, f"/tasks/{two.id}")
    assert result_of(following) == "✓ Done: Noted: told by call."
    assert headings_of(following, "h1") == ["H02 H02"]
    assert [each.household_id for each in calls(world)] == [second.household_id]
