"""Texts and answers on a household's page: as they went and came, and what was noted for them."""

from flask.testing import FlaskClient

from service.records.people import Consent
from tests.web.reading import headings_of, links_of, text_of
from tests.web.tree import parse
from tests.world import World, enrol
from tests.world_facts import consent_said


def quoted(html: str) -> list[tuple[str, str]]:
    """Return what was sent or came, each with its language."""
    return [(each.get("lang"), each.text) for each in parse(html).every("blockquote")]


def test_words_read_out_stand_beside_the_yes(world: World, client: FlaskClient) -> None:
    home = enrol(world, language="sw", consent=None)
    consent_said(world, home, Consent.VERBAL)

    assert ("sw", "read out") in quoted(client.get(f"/households/{home.household_id}").text)


def test_texts_and_answers_stand_by_day_with_the_newest_first(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.text("perhaps A2 or so?", at="2027-03-16T13:00")

    html = client.get(f"/households/{home.household_id}").text

    bodies = [text for _, text in quoted(html)]
    reminder, noted, unread = world.bodies()
    assert bodies == [unread, "perhaps A2 or so?", noted, "A1", reminder]
    days = [day for day in headings_of(html, "h3") if "March" in day]
    assert days == ["Tuesday 16 March 2027", "Monday 15 March 2027", "Sunday 14 March 2027"]


def test_an_answer_says_what_it_was_taken_for_and_what_was_noted(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.text("perhaps A2 or so?", at="2027-03-16T13:00")

    html = client.get(f"/households/{home.household_id}").text

    assert "Read as: done (A1). Noted: A1 done on Monday 15 March 2027." in text_of(html)
    assert "Read as: not sure, so a person reads it. Read it now" in text_of(html)
    assert links_of(html)["Read it now"] == "/reading"


def test_the_same_text_again_is_seen_to_have_noted_nothing(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    world.text("A1 please", at="2027-03-15T12:30")

    shown = text_of(client.get(f"/households/{home.household_id}").text)

    assert shown.count("Noted: A1 done") == 1
    assert "Read as: done, told again (A1). Nothing new was noted." in shown


def test_a_text_in_the_queue_is_shown_as_it_will_be_written(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    world.tick("2027-03-14T12:00")
    html = client.get(f"/households/{home.household_id}").text
    world.tick("2027-03-14T18:00")

    assert "Reminder, Sun 14 Mar 18:00: … queued" in text_of(html)
    assert ("en", world.bodies()[0]) in quoted(html)


def test_older_texts_stand_on_the_next_page(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    for hour in range(6, 18):
        world.text(f"how are you {hour}", at=f"2027-02-20T{hour:02d}:00")
    page = f"/households/{home.household_id}"

    first = client.get(page).text
    older = client.get(page + links_of(first)["Older texts"].split("#")[0]).text

    assert "how are you 17" in text_of(first)
    assert "how are you 6" in text_of(older)
    assert not {text for _, text in quoted(first)} >= {text for _, text in quoted(older)}
