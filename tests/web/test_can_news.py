"""What is written down about a can: noted once, answered with the day, and never lost."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.records.fields import ContainerEventRow, Source
from tests.web.cans import store_is
from tests.web.reading import faults_of, form_of, post, result_of, text_of, title_of
from tests.world import World, enrol
from tests.world_facts import can_event
from tests.world_looks import dose, rows


@pytest.mark.parametrize(
    ("what", "said", "state"),
    [
        pytest.param(
            "refilled",
            "The can was topped up on Friday 19 February 2027, so its rest starts anew:"
            " now ready on Sunday 21 March 2027.",
            "resting",
            id="topped up",
        ),
        pytest.param(
            "emptied", "The can was emptied on Friday 19 February 2027.", "empty", id="emptied"
        ),
        pytest.param(
            "opened",
            "The can is being filled since Friday 19 February 2027.",
            "being filled",
            id="opened",
        ),
    ],
)
def test_what_happened_to_a_sealed_can_is_noted_and_answered(
    world: World, client: FlaskClient, what: str, said: str, state: str
) -> None:
    """General use: 30 days from 19 February 2027 is 21 March."""
    enrol(world)

    answer = post(client, "/containers/1", "/containers/1", what=what, when="yesterday")
    html = client.get(answer.location).text

    assert answer.status_code == 303
    assert said in result_of(html)
    assert f"State {state}" in text_of(html)
    assert "(by telephone, noted by Neema Test, Sat 20 Feb 09:00)" in text_of(html)
    last = rows(world, ContainerEventRow)[-1]
    assert (last.on, last.source, last.noted_by) == (
        date(2027, 2, 19),
        Source.CALL,
        "Neema Test",
    )


def test_a_can_may_be_sealed_on_a_day_further_back(world: World, client: FlaskClient) -> None:
    """General use: 30 days from 5 February 2027 is 7 March."""
    enrol(world, sealed_on=None)

    answer = post(
        client, "/containers/1", "/containers/1", what="sealed", when="other", day="5 2 2027"
    )

    assert (
        "The can was sealed on Friday 5 February 2027: ready on Sunday 7 March 2027."
        in result_of(client.get(answer.location).text)
    )


def test_a_can_whose_ready_day_is_not_known_can_still_be_sealed(
    world: World, client: FlaskClient
) -> None:
    enrol(world, sealed_on=None, regime=Regime.SOLD_ANY)
    store_is(world, None)

    answer = post(client, "/containers/1", "/containers/1", what="sealed", when="today")

    assert "ready day not known here: store temperature" in result_of(
        client.get(answer.location).text
    )


def test_topping_up_a_can_that_is_being_filled_starts_no_rest(
    world: World, client: FlaskClient
) -> None:
    enrol(world, sealed_on=None)

    answer = post(client, "/containers/1", "/containers/1", what="refilled", when="today")

    assert "Its rest starts when it is sealed." in result_of(client.get(answer.location).text)


def test_the_form_warns_before_a_sealed_can_is_topped_up(world: World, client: FlaskClient) -> None:
    """General use: 30 days from 20 February 2027 is 22 March."""
    enrol(world)

    assert (
        "Whatever is added to a sealed can starts its rest anew."
        " Topped up today: ready on Monday 22 March 2027."
        in text_of(client.get("/containers/1").text)
    )


@pytest.mark.parametrize(
    ("fields", "fault"),
    [
        pytest.param({}, "What happened?: Choose one of this list.", id="nothing chosen"),
        pytest.param({"what": "emptied"}, "When?: Choose one of this list.", id="no day chosen"),
        pytest.param(
            {"what": "emptied", "when": "other", "day": "soon"},
            "Another day: Type the date like 27 March 2027 or 27/3/2027.",
            id="no date",
        ),
        pytest.param(
            {"what": "emptied", "when": "other", "day": "21 2 2027"},
            "Another day: Write a day up to today, at most 400 days back.",
            id="tomorrow",
        ),
        pytest.param(
            {"what": "emptied", "when": "other", "day": "9 1 2027"},
            "Another day: Something newer is noted of this can.",
            id="before it was sealed",
        ),
        pytest.param(
            {"what": "sealed", "when": "today"},
            "What happened?: It is noted as sealed.",
            id="sealed already",
        ),
    ],
)
def test_what_cannot_be_right_is_not_noted_and_nothing_typed_is_lost(
    world: World, client: FlaskClient, fields: dict[str, str], fault: str
) -> None:
    enrol(world)
    before = len(rows(world, ContainerEventRow))

    answer = post(client, "/containers/1", "/containers/1", **fields)

    assert answer.status_code == 422
    assert fault in faults_of(answer.text)
    assert fields.items() <= form_of(answer.text, "/containers/1").items()
    assert title_of(answer.text).startswith("Error: ")
    assert len(rows(world, ContainerEventRow)) == before


@pytest.mark.parametrize(
    ("happened", "what", "fault"),
    [
        pytest.param(CanEventKind.EMPTIED, "emptied", "It is noted as empty.", id="empty"),
        pytest.param(CanEventKind.OPENED, "opened", "It is noted as being filled.", id="open"),
    ],
)
def test_what_is_noted_already_is_not_noted_again(
    world: World, client: FlaskClient, happened: CanEventKind, what: str, fault: str
) -> None:
    home = enrol(world)
    can_event(world, home, happened, date(2027, 2, 15))

    answer = post(client, "/containers/1", "/containers/1", what=what, when="today")

    assert fault in faults_of(answer.text)


def test_the_same_form_sent_twice_is_noted_once(world: World, client: FlaskClient) -> None:
    enrol(world)
    fields = form_of(client.get("/containers/1").text, "/containers/1")
    fields |= {"what": "refilled", "when": "today"}

    client.post("/containers/1", data=fields)
    again = client.post("/containers/1", data=fields)

    kinds = [row.kind for row in rows(world, ContainerEventRow)]
    assert kinds.count(CanEventKind.REFILLED) == 1
    assert "Already saved at" in result_of(client.get(again.location).text)


def test_a_form_that_comes_back_after_a_sign_in_is_shown_and_not_saved(
    world: World, client: FlaskClient
) -> None:
    enrol(world)
    before = len(rows(world, ContainerEventRow))

    answer = post(
        client, "/containers/1", "/containers/1", what="emptied", when="today", resume="yes"
    )

    assert answer.status_code == 200
    assert form_of(answer.text, "/containers/1")["what"] == "emptied"
    assert len(rows(world, ContainerEventRow)) == before


def test_a_can_found_leaking_counts_as_empty(world: World, client: FlaskClient) -> None:
    home = enrol(world, sealed_on=date(2027, 1, 10))
    world.tick("2027-03-14T12:00")
    page = "/containers/1"

    answer = post(client, page, page, what="leaked", when="today")
    html = client.get(answer.location).text
    again = post(client, page, page, what="leaked", when="today")

    assert "The can was found leaking on Sunday 14 March 2027. It counts as empty" in result_of(
        html
    )
    assert "State empty" in text_of(html)
    assert "Found leaking on Sunday 14 March 2027" in text_of(html)
    assert dose(world, home, 1).urine_l == 0
    assert again.status_code == 422
