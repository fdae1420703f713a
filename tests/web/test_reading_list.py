"""The reading list: what each text may mean, and what one press does."""

from datetime import date
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from service.records.fields import DoseState, FactKind, Source
from service.records.people import AuditRow, Consent, ConsentEventRow
from service.records.traffic import InboundRow, TaskKind
from tests.web.reading import buttons_of, faults_of, form_of, headings_of, post, result_of, text_of
from tests.web.staff import Wall, browser_of, office_of, visit_token
from tests.world import OTHER_PHONE, PHONE, Enrolled, World, an_association, enrol, tick_through
from tests.world_facts import another_phone, another_plot
from tests.world_looks import calls, dose, facts, messages, rows, sent_kinds, to_read

STRANGER = "+255100000055"
ALWAYS = ["Needs a call", "Nothing to do"]


@pytest.fixture
def enrolled(world: World) -> Enrolled:
    """A household with plots A and D, whose sixth doses are open on 2 May."""
    first = enrol(world, can_litres=400)
    another_plot(world, first, letter="D")
    tick_through(world, date(2027, 4, 25), date(2027, 5, 1), hours=("18:00",))
    return first


def waiting(world: World) -> InboundRow:
    """Return the one text that waits."""
    (row,) = to_read(world)
    return row


def choose(client: FlaskClient, world: World, choice: str) -> str:
    """Press a button beside the one text that waits; return the page that follows."""
    path = f"/reading/{waiting(world).id}"
    answer = post(client, path, "/reading", choice=choice)
    assert answer.status_code == 303
    return client.get("/reading").text


def test_an_empty_list_says_so(client: FlaskClient) -> None:
    page = client.get("/reading").text

    assert "Nothing to read." in text_of(page)
    assert headings_of(page, "h1") == ["Texts to read"]


@pytest.mark.usefixtures("enrolled")
def test_a_text_stands_as_typed_with_its_home_its_doses_and_why(
    client: FlaskClient, world: World
) -> None:
    world.text("done <b>&", at="2027-05-02T12:00")
    page = client.get("/reading").text
    shown = text_of(page)

    assert "done <b>&" in shown
    assert '<blockquote lang="en">done &lt;b&gt;&amp;</blockquote>' in page
    assert headings_of(page, "h2")[0].startswith("H01 H01")
    assert "Doses open then: A6 Sun 2 May, D6 Sun 2 May." in shown
    assert "Came Sun 2 May 12:00" in shown
    assert PHONE not in page


@pytest.mark.usefixtures("enrolled")
def test_a_bare_done_with_two_open_doses_offers_each_of_them(
    client: FlaskClient, world: World
) -> None:
    world.text("done", at="2027-05-02T12:00")
    page = client.get("/reading").text

    assert "It does not say which dose" in text_of(page)
    assert buttons_of(page) == [
        "A6 was done today",
        "D6 was done today",
        "A6, D6 were done today",
        "A6 is not done",
        "D6 is not done",
        "A6, D6 are not done",
        *ALWAYS,
    ]


def test_a_reading_is_recorded_as_told_by_the_grower_and_noted_by_the_reader(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("done", at="2027-05-02T12:00")
    row = waiting(world)
    page = choose(client, world, "done A6-0")
    (given,) = facts(world, enrolled, FactKind.APPLIED)
    kept = next(each for each in rows(world, InboundRow) if each.id == row.id)

    assert (given.source, given.noted_by, given.on) == (Source.TEXT, "Neema Test", date(2027, 5, 2))
    assert (kept.read_by, kept.read_as) == ("Neema Test", "done A6-0")
    assert "A6 done" in result_of(page)
    assert "The grower gets an answer." in result_of(page)
    assert "Nothing to read." in text_of(page)
    assert [entry.detail for entry in rows(world, AuditRow)][-1] == {"as": "done A6-0"}


def test_days_count_from_the_day_on_which_the_text_came(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("done 1 day ago or so", at="2027-05-03T12:00")
    world.tick("2027-05-05T09:00")
    page = client.get("/reading").text
    choose(client, world, "done A6-1")

    assert buttons_of(page)[0] == "A6 was done on Sunday 2 May 2027"
    assert [fact.on for fact in facts(world, enrolled, FactKind.APPLIED)] == [date(2027, 5, 2)]


def test_a_text_that_waited_a_week_is_judged_as_on_its_day(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("done 2 days ago or so", at="2027-05-04T12:00")
    tick_through(world, date(2027, 5, 5), date(2027, 5, 11), hours=("09:00",))
    choose(client, world, "done A6-2")

    assert [fact.on for fact in facts(world, enrolled, FactKind.APPLIED)] == [date(2027, 5, 2)]
    assert dose(world, enrolled, 6).state is DoseState.DONE


def test_the_answer_is_the_one_of_a_sure_text(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    del enrolled
    world.text("done", at="2027-05-02T12:00")
    choose(client, world, "done A6-0")
    world.tick("2027-05-02T12:05")

    assert sent_kinds(world)[-2:] == ["unread", "r_done"]
    assert world.bodies()[-1].startswith("Noted, thank you: A6 done Sun 2 May.")


@pytest.mark.usefixtures("enrolled")
def test_two_doses_read_in_one_text_get_an_answer_each(client: FlaskClient, world: World) -> None:
    world.text("done", at="2027-05-02T12:00")
    choose(client, world, "done A6-0 D6-0")
    world.tick("2027-05-02T12:05")

    assert [body[:25] for body in world.bodies()[-2:]] == [
        "Noted, thank you: A6 done",
        "Noted, thank you: D6 done",
    ]


@pytest.mark.usefixtures("enrolled")
def test_after_a_day_no_answer_goes_any_more(client: FlaskClient, world: World) -> None:
    world.text("done", at="2027-05-02T12:00")
    world.tick("2027-05-03T12:00")
    page = choose(client, world, "done A6-0")
    world.tick("2027-05-03T12:05")

    assert "gets an answer" not in result_of(page)
    assert messages(world, "r_done", "last") == []


@pytest.mark.usefixtures("enrolled")
def test_a_phone_that_stopped_meanwhile_gets_no_answer(client: FlaskClient, world: World) -> None:
    world.text("done", at="2027-05-02T12:00")
    world.text("STOP", at="2027-05-02T12:10")
    choose(client, world, "done A6-0")
    world.tick("2027-05-02T12:15")

    assert sent_kinds(world)[-1] == "stop_ok"
    assert messages(world, "r_done") == []


def test_reading_lets_the_plots_reminders_go_on(client: FlaskClient, world: World) -> None:
    enrol(world)
    world.text("A1 but only half", at="2027-03-14T12:00")
    world.tick("2027-03-14T18:00")
    held = messages(world, "dose")
    choose(client, world, "nothing")
    world.tick("2027-03-14T18:05")

    assert held == []
    assert sent_kinds(world) == ["unread", "dose_rain"]


def test_nothing_to_do_records_nothing(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("done", at="2027-05-02T12:00")
    page = choose(client, world, "nothing")

    assert "Nothing was recorded." in result_of(page)
    assert facts(world, enrolled, *FactKind) == []


def test_needs_a_call_opens_one_and_the_text_is_read(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("my plants are sad", at="2027-05-02T12:00")
    row = waiting(world)
    choose(client, world, "call")
    (task,) = calls(world, TaskKind.UNREAD)

    assert (task.inbound_id, task.household_id) == (row.id, enrolled.household_id)
    assert to_read(world) == []


@pytest.mark.usefixtures("enrolled")
def test_a_second_reader_is_told_who_read_it_and_as_what(client: FlaskClient, world: World) -> None:
    world.text("done", at="2027-05-02T12:00")
    path = f"/reading/{waiting(world).id}"
    seen_by_second = client.get("/reading").text
    choose(client, world, "done A6-0")
    post(client, path, seen_by_second, choice="not-done A6-0")
    said = result_of(client.get("/reading").text)

    assert "Already" in said
    other = client.post(
        path, data=form_of(seen_by_second, path) | {"choice": "call", "form_key": "k" * 20}
    )
    assert other.status_code == 303
    assert "Already read by Neema Test at Sun 2 May 12:00: A6 was done today." in result_of(
        client.get("/reading").text
    )
    assert calls(world, TaskKind.UNREAD) == []


@pytest.mark.usefixtures("enrolled")
def test_a_choice_that_no_longer_fits_is_refused_with_the_list_beside_it(
    client: FlaskClient, world: World
) -> None:
    world.text("done", at="2027-05-02T12:00")
    path, seen = f"/reading/{waiting(world).id}", client.get("/reading").text
    world.text("A6", at="2027-05-02T13:00")
    answer = post(client, path, seen, choice="done A6-0")

    assert answer.status_code == 422
    assert "That does not fit any more." in faults_of(answer.text)
    assert buttons_of(answer.text) == ["D6 was done today", "D6 is not done", *ALWAYS]
    assert len(to_read(world)) == 1


def test_what_may_be_a_refusal_stands_first_and_offers_to_go_on_or_stop(
    client: FlaskClient, world: World
) -> None:
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="A", can=2)
    world.text("perhaps", at="2027-03-01T09:00")
    world.text("I do not want this now", number=OTHER_PHONE, at="2027-03-02T09:00")
    page = client.get("/reading").text

    assert [heading[:3] for heading in headings_of(page, "h2")] == ["H02", "H01"]
    assert "Paused: no text goes to this phone until you choose." in text_of(page)
    assert buttons_of(page)[:3] == [
        "Go on with texts",
        "Stop all texts to this phone",
        "Needs a call",
    ]


def test_stopping_ends_all_texts_to_the_phone(client: FlaskClient, world: World) -> None:
    enrol(world)
    world.text("I do not want this now", at="2027-03-10T09:00")
    page = choose(client, world, "stop")
    tick_through(world, date(2027, 3, 10), date(2027, 3, 16), hours=("18:00",))
    stop = rows(world, ConsentEventRow)[-1]

    assert "Only the phone itself can start them again." in result_of(page)
    assert (stop.kind, stop.asked_by) == (Consent.STOPPED, "Neema Test")
    assert sent_kinds(world) == ["unread"]


def test_a_call_about_a_refusal_keeps_the_phone_paused(client: FlaskClient, world: World) -> None:
    enrol(world)
    world.text("I do not want this now", at="2027-03-14T09:00")
    page = choose(client, world, "call")
    world.tick("2027-03-14T18:00")

    assert "stay paused" in result_of(page)
    assert len(calls(world, TaskKind.UNREAD)) == 1
    assert len(to_read(world)) == 1
    assert sent_kinds(world) == ["unread"]


def test_a_dose_read_beside_a_stop_word_leaves_the_stop_to_be_decided(
    client: FlaskClient, world: World
) -> None:
    enrolled = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1 stop", at="2027-03-15T12:00")
    page = choose(client, world, "done A1-0")

    assert "Now choose whether texts go on." in result_of(page)
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1
    assert "Go on with texts" in buttons_of(page)


def test_a_number_nobody_knows_can_be_enrolled_called_or_passed_over(
    client: FlaskClient, world: World
) -> None:
    enrol(world)
    world.text("A3", number=STRANGER, at="2027-04-04T12:00")
    row, page = waiting(world), client.get("/reading").text
    answer = post(client, f"/reading/{row.id}", page, choice="enrol")
    (task,) = calls(world, TaskKind.ENROL)

    assert headings_of(page, "h2")[0].startswith("Number that nobody has enrolled")
    assert STRANGER not in page
    assert buttons_of(page) == ["Enrol this number", "Needs a call", "Not for us"]
    assert answer.headers["Location"] == f"/enrol?request={task.id}"
    assert task.inbound_id == row.id
    assert to_read(world) == []


def test_a_number_asked_to_be_enrolled_twice_has_one_task(
    client: FlaskClient, world: World
) -> None:
    enrol(world)
    for text in ("who are you?", "I am a neighbour"):
        world.text(text, number=STRANGER, at="2027-04-04T12:00")
        choose(client, world, "enrol")

    assert len(calls(world, TaskKind.ENROL)) == 1


def test_a_text_not_for_us_is_read_and_nothing_follows(client: FlaskClient, world: World) -> None:
    enrol(world)
    world.text("who are you?", number=STRANGER, at="2027-04-04T12:00")
    choose(client, world, "not-for-us")

    assert to_read(world) == []
    assert calls(world, TaskKind.ENROL, TaskKind.UNREAD) == []


def test_yes_in_other_words_begins_the_texts(client: FlaskClient, world: World) -> None:
    enrol(world, consent=Consent.VERBAL)
    world.text("yes my friend", at="2027-03-01T12:00")
    page = choose(client, world, "consent")
    world.tick("2027-03-01T12:05")

    assert "yes to getting texts" in result_of(page)
    assert rows(world, ConsentEventRow)[-1].kind is Consent.GIVEN
    assert sent_kinds(world)[-1] == "welcome"


def test_no_button_starts_the_texts_of_a_phone_that_stopped(
    client: FlaskClient, world: World
) -> None:
    enrol(world)
    world.text("STOP", at="2027-03-01T12:00")
    world.text("yes please start sending again my friend", at="2027-03-02T12:00")

    assert not any("texts" in button for button in buttons_of(client.get("/reading").text))


@pytest.mark.usefixtures("enrolled")
def test_a_text_that_was_sure_cannot_be_read_again(client: FlaskClient, world: World) -> None:
    world.text("done", at="2027-05-02T12:00")
    page, row = client.get("/reading").text, waiting(world)
    world.text("D6", at="2027-05-02T13:00")
    sure = next(each for each in rows(world, InboundRow) if each.text == "D6")
    fields = form_of(page, f"/reading/{row.id}") | {"choice": "nothing"}

    assert client.post(f"/reading/{sure.id}", data=fields).status_code == 404


def test_the_same_press_twice_has_one_effect(
    client: FlaskClient, world: World, enrolled: Enrolled
) -> None:
    world.text("done", at="2027-05-02T12:00")
    path, page = f"/reading/{waiting(world).id}", client.get("/reading").text
    for _ in range(2):
        post(client, path, page, choice="done A6-0")

    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1
    assert "Already saved at" in result_of(client.get("/reading").text)


@pytest.mark.usefixtures("enrolled")
def test_a_form_that_came_back_after_a_sign_in_is_shown_and_not_saved(
    client: FlaskClient, world: World
) -> None:
    world.text("done", at="2027-05-02T12:00")
    path = f"/reading/{waiting(world).id}"
    answer = post(client, path, "/reading", choice="done A6-0", resume="yes")

    assert answer.status_code == 200
    assert "Not saved yet. Choose once more" in result_of(answer.text)
    assert len(to_read(world)) == 1


def test_a_long_list_comes_in_pages_that_stay_light(tmp_path: Path) -> None:
    world = World(folder=tmp_path)
    an_association(world)
    first = enrol(world)
    for letter in "DGJMPTW":
        another_plot(world, first, letter=letter)
    another_phone(world, first, number=OTHER_PHONE)
    world.tick("2027-04-04T06:00")
    for hour in range(8, 19):
        long = " ".join(["I think that I have done it or perhaps I did not"] * 3)
        world.text(f"{long} {hour} x", at=f"2027-04-04T{hour:02d}:00")
    client = browser_of(office_of(world, Wall()), visit_token(world))
    pages = [client.get(f"/reading?page={number}").text for number in (1, 2, 3)]

    assert "Page 1 of 3" in text_of(pages[0])
    assert [page.count("<blockquote") for page in pages] == [4, 4, 3]
    assert client.get("/reading?page=99").text.count("<blockquote") == 3
    assert max(len(page.encode()) for page in pages) <= 10_000
    world.close()
