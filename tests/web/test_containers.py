"""The cans: where each stands, when it is ready and why."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.records.fields import ContainerRow
from service.records.people import HouseholdRow
from tests.web.cans import store_is
from tests.web.homes import another_area
from tests.web.reading import (
    addresses_of,
    headings_of,
    links_of,
    text_of,
    title_of,
)
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import another_can, can_event

HTML_MOST = 10_000  # bytes; with the style sheet the page stays under 15 kB


def longer_rest(world: World, container_id: int) -> None:
    with world.services.sessions.begin() as session:
        session.get_one(ContainerRow, container_id).longer_rest = True


def many_cans(world: World, home: Enrolled, count: int) -> None:
    with world.services.sessions.begin() as session:
        session.add_all(
            ContainerRow(
                association_id=1,
                household_id=home.household_id,
                number=number,
                litres=20,
                longer_rest=False,
                recorded_at=world.clock(),
            )
            for number in range(2, count + 1)
        )


def test_the_list_tells_each_cans_state_rule_and_ready_day(
    world: World, client: FlaskClient
) -> None:
    """General use: 30 days from 10 January 2027 is 9 February."""
    home = enrol(world)
    another_can(world, home, number=2, sealed_on=date(2027, 2, 15))
    can_event(world, home, CanEventKind.OPENED, date(2027, 2, 16), number=2)

    html = client.get("/containers").text

    assert headings_of(html, "h2") == ["H01, North"]
    assert (
        "Can 1, 200 L: ready; sealed Sunday 10 January 2027 + 30 days, general rule:"
        " ready on Tuesday 9 February 2027" in text_of(html)
    )
    assert "Can 2, 200 L: being filled" in text_of(html)
    assert links_of(html)["ready on Tuesday 9 February 2027"] == "/containers/1#why"
    assert links_of(html)["H01"] == f"/households/{home.household_id}"


def test_without_a_can_the_list_says_what_to_do_next(client: FlaskClient) -> None:
    html = client.get("/containers").text

    assert "No can yet. Open a household and add its can there" in text_of(html)


@pytest.mark.parametrize(
    ("state", "words", "shown"),
    [
        pytest.param("ready", "ready", "H01", id="ready"),
        pytest.param("resting", "resting", "H02", id="resting"),
        pytest.param("filling", "being filled", "H03", id="being filled"),
    ],
)
def test_the_list_can_be_cut_down_to_one_state(
    world: World, client: FlaskClient, state: str, words: str, shown: str
) -> None:
    enrol(world)
    enrol(world, code="H02", number="+255100000002", sealed_on=date(2027, 2, 15))
    enrol(world, code="H03", number="+255100000003", sealed_on=None)

    html = client.get(f"/containers?state={state}").text

    assert headings_of(html, "h2") == [f"{shown}, North"]
    assert [each.text for each in parse(html).every("b") if each.has("aria-current")] == [words]


def test_a_state_that_no_can_has_is_told_with_a_way_on(world: World, client: FlaskClient) -> None:
    enrol(world)

    html = client.get("/containers?state=resting").text

    assert "No can stands so. Choose another kind above." in text_of(html)
    assert links_of(html)["all"] == "/containers"


def test_a_long_list_comes_in_pages_and_keeps_its_state(world: World, client: FlaskClient) -> None:
    home = enrol(world, sealed_on=None)
    many_cans(world, home, 27)
    for number in range(2, 28):
        can_event(world, home, CanEventKind.OPENED, date(2027, 2, 1), number=number)

    first = client.get("/containers?state=filling").text
    second = client.get(links_of(first)["Next"]).text

    assert len([to for to in addresses_of(first) if to.startswith("/containers/")]) == 25
    assert len([to for to in addresses_of(second) if to.startswith("/containers/")]) == 2
    assert "27 cans" in text_of(second)


def test_cans_come_by_area_and_then_by_household(world: World, client: FlaskClient) -> None:
    enrol(world, code="H02")
    enrol(world, code="H01", number="+255100000002")
    east = enrol(world, code="H03", number="+255100000003")
    another_area(world, name="East")
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, east.household_id).area_id = 2

    html = client.get("/containers").text

    assert headings_of(html, "h2") == ["H03, East", "H01, North", "H02, North"]


def test_a_full_page_of_cans_is_light(world: World, client: FlaskClient) -> None:
    for number in range(1, 26):
        enrol(
            world,
            code=f"H{number:02d}",
            number=f"+2551000000{number:02d}",
            regime=Regime.SOLD_PROCESSED,
        )

    assert len(client.get("/containers").data) <= HTML_MOST


@pytest.mark.parametrize(
    ("celsius", "listed", "why"),
    [
        pytest.param(
            None,
            "ready day not known here: store temperature",
            "No store temperature is recorded",
            id="unknown",
        ),
        pytest.param(
            17.0,
            "ready day not known here: the store is cold",
            "Yours is recorded with 17 °C, so the can does not become ready here.",
            id="cold",
        ),
    ],
)
def test_six_months_in_a_store_not_known_to_be_warm_have_no_ready_day(
    world: World, client: FlaskClient, celsius: float | None, listed: str, why: str
) -> None:
    enrol(world, regime=Regime.SOLD_ANY)
    store_is(world, celsius)

    assert "resting; sealed Sunday 10 January 2027 + 183 days" in text_of(
        client.get("/containers").text
    )
    assert listed in text_of(client.get("/containers").text)
    assert why in text_of(client.get("/containers/1").text)


def test_a_longer_rest_is_told_without_a_reason(world: World, client: FlaskClient) -> None:
    """183 days from 10 January 2027 is 12 July."""
    enrol(world)
    longer_rest(world, 1)

    shown = text_of(client.get("/containers/1").text)

    assert "State resting; longer rest" in shown
    assert (
        "sealed Sunday 10 January 2027 + 183 days, longer rest: ready on Monday 12 July 2027"
        in shown
    )
    assert [word for word in ("ill", "typhoid", "medicine") if f" {word}" in shown] == []


def test_the_page_of_a_can_names_rule_source_and_what_happened(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, regime=Regime.OWN_HOUSEHOLD)

    html = client.get("/containers/1").text
    shown = text_of(html)

    assert headings_of(html, "h1") == ["Can 1 \N{EN DASH} H01"]
    assert "Ready day ready on Sunday 24 January 2027" in shown
    assert "rule for food of the own household" in shown
    assert "Common practice, no source: weaker than the published month." in shown
    assert "Source, read: Common practice (told in a CTA Spore item)" in shown
    assert "Sealed on Sunday 10 January 2027 (by import, Sat 20 Feb 09:00)" in shown
    assert links_of(html)["To the household"] == f"/households/{home.household_id}"


def test_a_can_that_is_not_sealed_has_no_ready_day(world: World, client: FlaskClient) -> None:
    enrol(world, sealed_on=None)

    shown = text_of(client.get("/containers/1").text)

    assert "This can is not sealed, so it has no ready day." in shown
    assert "ready on" not in shown


def test_the_page_of_a_can_gives_nothing_away(world: World, client: FlaskClient) -> None:
    enrol(world, discreet=True)

    html = client.get("/containers/1").text

    assert title_of(html) == "A can \N{EN DASH} Test Growers"
    assert "urine" not in html.lower()


def test_a_can_that_is_not_there_is_not_found(world: World, client: FlaskClient) -> None:
    enrol(world)

    assert client.get("/containers/2").status_code == 404
