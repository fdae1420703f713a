"""Texts are stopped for somebody who asks by voice, after a look at what that means."""

from flask.testing import FlaskClient

from service.messages.lifecycle import State
from service.records.people import AuditRow, Consent, ConsentEventRow
from tests.web.reading import buttons_of, faults_of, form_of, links_of, post, result_of, text_of
from tests.web.tree import parse
from tests.world import OTHER_PHONE, World, enrol
from tests.world_facts import another_phone
from tests.world_looks import messages, rows

LEAVE = "Leave the texts as they are"
STOP = "Stop all texts to this phone"


def stops(world: World) -> list[int]:
    """Return the phones whose texts were stopped."""
    return [row.phone_id for row in rows(world, ConsentEventRow) if row.kind is Consent.STOPPED]


def test_what_will_happen_is_shown_first_with_the_safe_way_before_the_other(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"

    html = client.get(links_of(client.get(page).text)["They want no more texts"]).text

    shown = text_of(html)
    assert "All texts to this phone stop at once. Only the phone itself can start them" in shown
    assert shown.index(LEAVE) < shown.index(STOP)
    assert links_of(html)[LEAVE] == page
    assert stops(world) == []


def test_the_button_stops_the_texts_and_says_so(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-14T12:00")
    page = f"/households/{home.household_id}"

    answer = post(client, f"{page}/stop", f"{page}/stop")

    assert (answer.status_code, answer.location) == (303, page)
    html = client.get(page).text
    assert "All texts to this phone have stopped." in result_of(html)
    assert "noted by Neema Test" in text_of(html)
    assert {row.state for row in messages(world)} == {State.CANCELLED}
    assert rows(world, AuditRow)[-1].what == "texts stopped"


def test_the_same_form_again_has_one_effect(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"
    form = form_of(client.get(f"{page}/stop").text, f"{page}/stop")

    for _ in range(2):
        client.post(f"{page}/stop", data=form)

    assert stops(world) == [home.phone_id]
    assert "Already saved at" in result_of(client.get(page).text)


def test_a_phone_that_has_stopped_offers_no_button(world: World, client: FlaskClient) -> None:
    home = enrol(world, consent=Consent.STOPPED)

    html = client.get(f"/households/{home.household_id}/stop").text

    assert STOP not in buttons_of(html)
    assert "No phone of this household gets texts." in text_of(html)


def test_a_stop_that_came_meanwhile_is_told(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"
    form = client.get(f"{page}/stop").text
    world.text("STOP", at="2027-02-21T12:00")

    post(client, f"{page}/stop", form)

    assert "had stopped before" in result_of(client.get(page).text)
    assert stops(world) == [home.phone_id]


def test_of_two_phones_each_has_its_own_button(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    second = another_phone(world, home, number="+255100000003")
    page = f"/households/{home.household_id}"
    html = client.get(f"{page}/stop").text
    keys = {each.get("value") for each in parse(html).every("input") if _is_key(each.get("name"))}

    client.post(f"{page}/stop", data=form_of(html, f"{page}/stop", phone=str(second)))
    client.post(f"{page}/stop", data=form_of(html, f"{page}/stop", phone=str(home.phone_id)))

    assert len(keys) == 2
    assert stops(world) == [second, home.phone_id]


def _is_key(name: str) -> bool:
    return name == "form_key"


def test_those_who_share_the_phone_are_named_before(world: World, client: FlaskClient) -> None:
    home = enrol(world, code="H01")
    enrol(world, code="H02", letter="D", can=2)

    shown = text_of(client.get(f"/households/{home.household_id}/stop").text)

    assert "These households get no texts on it either: H02" in shown


def test_a_phone_of_another_home_cannot_be_stopped_from_here(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, code="H01")
    other = enrol(world, code="H02", number=OTHER_PHONE)
    page = f"/households/{home.household_id}"

    answer = post(client, f"{page}/stop", f"{page}/stop", phone=str(other.phone_id))

    assert answer.status_code == 422
    assert "Choose one of this list." in faults_of(answer.text)
    assert stops(world) == []


def test_after_a_new_sign_in_nothing_is_stopped_by_itself(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world)
    page = f"/households/{home.household_id}"

    answer = post(client, f"{page}/stop", f"{page}/stop", resume="yes")

    assert answer.status_code == 200
    assert STOP in buttons_of(answer.text)
    assert stops(world) == []
