"""The enrolment form: nothing typed is lost, and each part can come later."""

import pytest
from flask.testing import FlaskClient

from service.enrolment.faults import Fault, FaultCode
from service.records.fields import ContainerRow, PlantingRow, PlotRow
from service.records.people import ConsentEventRow, HouseholdRow
from service.web.fault_words import fault_words
from service.web.tongue import load_tongues
from tests.fresh import TEXTS
from tests.web.enrolling import CAN, HOUSE, MAIZE, PHONE, PLOT, WHOLE, household_of
from tests.web.enrolling import send_enrolment as send
from tests.web.reading import faults_of, fields_of, form_of, post, result_of, text_of
from tests.web.tree import parse
from tests.world import World, enrol
from tests.world_facts import other_association
from tests.world_looks import rows


@pytest.mark.parametrize(
    ("wrong", "field", "advice"),
    [
        pytest.param({"alias": ""}, "alias", "Fill this in", id="no name"),
        pytest.param({"number": "12"}, "number", "short code", id="short code"),
        pytest.param({"number": "+1 900 555 0100"}, "number", "another country", id="abroad"),
        pytest.param({"planted_on": "3/27/2027"}, "planted_on", "27 March 2027", id="month first"),
        pytest.param({"planted_on": "31 2 2027"}, "planted_on", "27 March 2027", id="no such day"),
        pytest.param({"planted_on": "2027-W13-6"}, "planted_on", "27 March 2027", id="a week"),
        pytest.param({"area_m2": "1e9"}, "area_m2", "from 1 to 10,000", id="power of ten"),
        pytest.param({"area_m2": "nan"}, "area_m2", "from 1 to 10,000", id="no number"),
        pytest.param({"area_m2": "-5"}, "area_m2", "from 1 to 10,000", id="negative"),
        pytest.param({"area_m2": "\uff11\uff10"}, "area_m2", "from 1 to 10,000", id="other digits"),
        pytest.param({"crop": "cowpea"}, "crop", "make their own nitrogen", id="a legume"),
        pytest.param({"crop": "banana"}, "crop", "bears for years", id="a perennial"),
        pytest.param({"crop": "rice-transplanted"}, "drained", "drained", id="paddy"),
        pytest.param({"sealed_on": "10/1/2028"}, "sealed_on", "has not come", id="sealed later"),
        pytest.param({"adults": "1_0"}, "adults", "from 0 to 40", id="not a whole number"),
        pytest.param({"word": "juice"}, "word", "choose another", id="a drink"),
        pytest.param({"asked_on": "1/1/2019"}, "asked_on", "too long ago", id="asked years ago"),
    ],
)
def test_a_wrong_field_is_named_and_all_that_was_typed_is_kept(
    wrong: dict[str, str], field: str, advice: str, world: World, client: FlaskClient
) -> None:
    typed = WHOLE | wrong

    refused = send(client, **typed)

    assert refused.status_code == 422
    assert advice in faults_of(refused.text)
    assert f'href="#{field}"' in refused.text
    kept = form_of(refused.text, "/enrol")
    # the button that was pressed is no field
    assert {name: kept.get(name) for name in typed if name != "after"} == {
        name: value for name, value in typed.items() if name != "after"
    }
    assert rows(world, HouseholdRow) == []


def test_an_area_of_nobody_is_refused(world: World, client: FlaskClient) -> None:
    refused = send(client, **(HOUSE | {"area_id": "9"}))

    assert refused.status_code == 422
    assert "Choose one of this list" in faults_of(refused.text)
    assert rows(world, HouseholdRow) == []


def test_comma_and_point_both_stand_for_parts(world: World, client: FlaskClient) -> None:
    send(client, **(HOUSE | {"area_m2": "10,5"}))
    send(client, **(HOUSE | {"area_m2": "10.5"}))

    assert [plot.area_m2 for plot in rows(world, PlotRow)] == [10.5, 10.5]


def test_the_next_enrolment_keeps_area_and_language(client: FlaskClient) -> None:
    saved = send(client, **(HOUSE | {"language": "sw", "after": "next"}))

    fields = form_of(client.get(saved.location or "").text, "/enrol")
    assert (fields["area_id"], fields["language"]) == ("1", "sw")
    assert "Mti Test" not in (saved.location or "")


def test_the_same_form_twice_makes_one_household(world: World, client: FlaskClient) -> None:
    form = form_of(client.get("/enrol").text, "/enrol") | WHOLE

    first = client.post("/enrol", data=form)
    second = client.post("/enrol", data=form)

    assert first.location == second.location
    assert "Already saved at" in result_of(client.get(first.location or "").text)
    assert len(rows(world, HouseholdRow)) == 1


def test_the_words_read_out_are_kept_in_the_households_language(
    world: World, client: FlaskClient
) -> None:
    send(client, **(WHOLE | {"language": "sw"}))

    (event,) = rows(world, ConsentEventRow)
    assert event.asked_by == "Neema Test"
    assert "ACHA" in event.wording
    assert len(event.wording) <= 400


def test_each_part_can_be_added_later(world: World, client: FlaskClient) -> None:
    home = household_of(send(client, **HOUSE))
    base = f"/households/{home}/add"
    parts: list[tuple[str, dict[str, str]]] = [
        ("phone", PHONE),
        ("consent", {"said": "yes", "phone_id": "1"}),
        ("plot", PLOT),
        ("container", CAN),
        ("planting", MAIZE | {"plot_id": "1", "row_cm": "80", "plant_cm": "30"}),
    ]

    for part, fields in parts:
        done = post(client, f"{base}/{part}", f"{base}/{part}", **fields)
        assert done.status_code == 303, faults_of(done.text)

    (planting,) = rows(world, PlantingRow)
    assert (planting.row_cm, planting.plant_cm) == (80, 30)
    assert len(rows(world, ContainerRow)) == 1
    shown = text_of(client.get(f"/households/{home}").text)
    assert "For a plan: a" not in shown
    assert "waiting for START" in shown


def test_changing_the_people_starts_from_what_is_known(world: World, client: FlaskClient) -> None:
    home = household_of(send(client, **(HOUSE | {"adults": "2", "discreet": "yes"})))
    page = f"/households/{home}/add/people"
    known = form_of(client.get(page).text, page)
    assert (known["alias"], known["adults"], known["discreet"]) == ("Mti Test", "2", "yes")

    post(client, page, page, children="3", remind_minute="1050")

    (row,) = rows(world, HouseholdRow)
    assert (row.adults, row.children, row.remind_minute) == (2, 3, 17 * 60 + 30)


def test_a_plot_of_another_association_is_not_on_the_list(
    world: World, client: FlaskClient
) -> None:
    """OWASP ASVS 5.0, 8.2.2: an object is reached only by who may reach it."""
    enrolled = enrol(world)
    with world.services.sessions.begin() as session:
        session.add(other_association(world.clock()))
        session.flush()
        session.get_one(PlotRow, enrolled.plot_id).association_id = 2
    home = household_of(send(client, **(HOUSE | PLOT)))
    page = f"/households/{home}/add/planting"

    refused = post(client, page, page, **MAIZE, plot_id=str(enrolled.plot_id))

    assert refused.status_code == 422
    assert "Choose one of this list" in faults_of(refused.text)


def test_without_a_phone_there_is_nobody_to_say_yes(client: FlaskClient) -> None:
    home = household_of(send(client, **HOUSE))

    page = client.get(f"/households/{home}/add/consent").text

    assert "First add the phone" in text_of(page)
    assert [fields_of(form) for form in parse(page).every("form")] == []


@pytest.mark.parametrize("part", ["nothing", "people2", ""])
def test_an_unknown_part_is_not_there(part: str, world: World, client: FlaskClient) -> None:
    home = enrol(world).household_id

    assert client.get(f"/households/{home}/add/{part}").status_code == 404


@pytest.mark.parametrize("code", FaultCode)
def test_every_fault_can_be_said_in_each_language(code: FaultCode) -> None:
    """A sentence whose marks have no values would fail when it is most needed."""
    values: dict[str, object] = {
        "most": 3.0,
        "least": 1.0,
        "other": "x",
        "alias": "Mti",
        "households": [("001", "Mti")],
        "latest": "x",
        "earliest": "x",
        "area_m2": 2.0,
        "season_ends_on": "x",
        "most_days": 60,
        "most_day": 365,
        "gap_days": 5,
        "litres": 7.5,
    }
    words = fault_words(Fault(field="x", code=code, values=values))

    for tongue in load_tongues(TEXTS).values():
        assert "%" not in tongue.say(words)


PEOPLE = "/households/1/add/people"


def test_habits_of_a_household_are_told_and_shown_again(world: World, client: FlaskClient) -> None:
    send(client, **HOUSE)
    told = {"avoid_weekday": "4", "collected_share": "62,5", "bottle_ml": "1500"}

    answer = post(client, PEOPLE, PEOPLE, **told)

    assert answer.status_code == 303
    (row,) = rows(world, HouseholdRow)
    assert (row.avoid_weekday, row.collected_share, row.bottle_ml) == (4, 0.625, 1500)
    shown = form_of(client.get(PEOPLE).text, PEOPLE)
    assert {name: shown[name] for name in told} == told | {"collected_share": "62.5"}


@pytest.mark.parametrize(
    ("field", "typed", "advice"),
    [
        pytest.param("avoid_weekday", "7", "one of this list", id="an eighth day"),
        pytest.param("avoid_weekday", "Friday", "one of this list", id="a day in words"),
        pytest.param("collected_share", "101", "from 0 to 100", id="more than all"),
        pytest.param("bottle_ml", "249", "from 250 to 5,000", id="small bottle"),
        pytest.param("bottle_ml", "300.5", "whole number", id="half a millilitre"),
    ],
)
def test_a_habit_that_cannot_be_meant_is_refused(
    field: str, typed: str, advice: str, client: FlaskClient
) -> None:
    send(client, **HOUSE)

    refused = post(client, PEOPLE, PEOPLE, **{field: typed})

    assert refused.status_code == 422
    assert advice in faults_of(refused.text)
    assert f'href="#{field}"' in refused.text
    assert "<details open>" in refused.text
