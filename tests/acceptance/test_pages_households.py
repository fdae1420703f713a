"""What the coordinator sees and may do on a household's page."""

import pytest
from flask.testing import FlaskClient

from service.records.people import Consent
from tests.web.homes import bare_home
from tests.web.reading import buttons_of, links_of, post, text_of
from tests.web.tree import parse
from tests.world import World, enrol
from tests.world_looks import sent_kinds


def test_a_home_of_which_only_name_and_area_are_known_shows_what_is_missing(
    world: World, client: FlaskClient
) -> None:
    """E1: saved with two fields only -> the page says what is still missing for a plan."""
    home = bare_home(world, alias="Mti Test")
    page = f"/households/{home}"

    html = client.get(page).text

    shown = text_of(html)
    assert "Mti Test" in shown
    assert "Still missing" in shown
    for what in ("For a plan: a plot", "For a plan: a planting", "For a plan: a can"):
        assert what in shown
    assert "For a plan: who will eat the crop" in shown
    assert "For texts: a phone" in shown
    links = links_of(html)
    assert links["a plot"] == f"{page}/add/plot"
    assert links["a planting"] == f"{page}/add/planting"
    assert links["a can"] == f"{page}/add/container"
    assert links["a phone"] == f"{page}/add/phone"
    assert links["who will eat the crop"] == f"{page}/add/people"


def test_english_pages_show_the_swahili_texts_of_a_home(world: World, client: FlaskClient) -> None:
    """I3: English page, Swahili texts for the same household, each marked as what it is."""
    home = enrol(world, language="sw")
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    html = client.get(f"/households/{home.household_id}").text

    tree = parse(html)
    assert [page.get("lang") for page in tree.every("html")] == ["en"]
    assert "Texts and answers" in text_of(html)
    assert "Language of the texts Swahili" in text_of(html)
    quoted = {each.text: each.get("lang") for each in tree.every("blockquote")}
    assert quoted == dict.fromkeys((*world.bodies(), "A1"), "sw")
    assert "shamba A" in " ".join(world.bodies())


@pytest.mark.parametrize("how", ["by text", "by voice"])
def test_no_page_can_start_the_texts_again(world: World, client: FlaskClient, how: str) -> None:
    """R5: C's page has no restart button; only START from that phone undoes a STOP."""
    home = enrol(world)
    page = f"/households/{home.household_id}"
    if how == "by text":
        world.text("STOP", at="2027-03-14T12:00")
    else:
        post(client, f"{page}/stop", f"{page}/stop")

    html = client.get(page).text

    assert "✕ stopped" in text_of(html)
    assert buttons_of(html) == ["Show the number"]
    offered = [words for words in links_of(html) if "start" in words.lower()]
    assert offered == []
    assert "Only this phone itself can start its texts again: it sends START." in text_of(html)
    world.tick("2027-03-14T18:00")
    assert "dose_rain" not in sent_kinds(world)
    world.text("START", at="2027-03-14T18:30")
    assert "✓ texts on" in text_of(client.get(page).text)


def test_the_coordinator_reads_who_else_depended_on_a_phone(
    world: World, client: FlaskClient
) -> None:
    """R5: C is told who else depended on the phone that stopped."""
    first = enrol(world, code="H01")
    enrol(world, code="H02", letter="D", can=2, consent=Consent.GIVEN)
    world.text("STOP", at="2027-03-14T12:00")

    shown = text_of(client.get(f"/households/{first.household_id}").text)

    assert "✕ stopped Shared with: H02 H02" in shown
