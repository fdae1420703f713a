"""What a coordinator changes during a season, and what the pages say then.

Maize on plot A, planned for 15 March: doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May.
"""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.season import Soil
from service.records.fields import DoseState, FactKind, PlotRow
from service.records.people import AuditRow
from service.records.traffic import TaskKind
from tests.web.enrolling import HOUSE, MAIZE, PLOT
from tests.web.enrolling import send_enrolment as send
from tests.web.reading import faults_of, links_of, post, result_of, text_of
from tests.world import Enrolled, World, doses, enrol
from tests.world_facts import another_can
from tests.world_looks import calls, dose, facts, rows, sent_kinds


def planting_page(home: Enrolled, part: str = "") -> str:
    return f"/plantings/{home.planting_id}{part}"


def turned(client: FlaskClient, home: Enrolled, **fields: str) -> str:
    """Note a turn of the season, and return the result line."""
    page = planting_page(home, "/turn")
    answer = post(client, page, page, **fields)
    assert answer.status_code == 303, faults_of(answer.text)
    return result_of(client.get(answer.location).text)


def corrected(client: FlaskClient, home: Enrolled, part: str, **fields: str) -> str:
    """Correct a part of the plot, and return the result lines."""
    page = f"/plots/{home.plot_id}"
    answer = post(client, f"{page}/{part}", page, **fields)
    assert answer.status_code == 303, faults_of(answer.text)
    return result_of(client.get(answer.location).text)


def test_a_legume_is_refused_since_it_needs_none(world: World, client: FlaskClient) -> None:
    """A12: cowpea -> refused "needs none"."""
    refused = send(client, **(HOUSE | PLOT | MAIZE | {"crop": "cowpea"}))

    assert refused.status_code == 422
    assert "make their own nitrogen: they need none" in faults_of(refused.text)
    assert rows(world, PlotRow) == []


def test_tiny_seed_sown_direct_gets_no_dose_at_sowing(world: World, client: FlaskClient) -> None:
    """A12: amaranth direct-sown -> no day-0 dose; its page says why."""
    home = enrol(world, crop="amaranth")
    world.tick("2027-03-10T12:00")

    page = text_of(client.get(planting_page(home)).text)

    first = dose(world, home, 1)
    assert (first.state, first.reason) == (DoseState.DROPPED, "no-planting-dose")
    assert "Seed this small takes no dose at sowing." in page


def test_salty_soil_gets_half_and_the_page_shows_what_changed(
    world: World, client: FlaskClient
) -> None:
    """A12: salty soil half: 150 L become 75 L; a seventh of each, in half litres, 21 and 10.5 L."""
    home = enrol(world)
    world.tick("2027-03-10T12:00")
    before = text_of(client.get(planting_page(home)).text)

    lines = corrected(client, home, "soil", soil="salty")

    assert "150 L of urine" in before
    assert "The soil was noted: salty soil." in lines
    assert "A1 on Monday 15 March 2027: 10.5 L, before 21 L." in lines
    assert "75 L of urine" in text_of(client.get(planting_page(home)).text)
    assert [row.soil for row in rows(world, PlotRow)] == [Soil.SALTY]


def test_a_plot_at_risk_needs_a_recorded_decision_before_any_dose(
    world: World, client: FlaskClient
) -> None:
    """S4: plot flagged -> plan needs a recorded decision."""
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    told = corrected(client, home, "ground", steep="yes", open_water="yes")
    closed = {(row.state, row.reason) for row in doses(world, home)}
    page = client.get(planting_page(home)).text
    world.tick("2027-03-14T18:00")
    silent = [kind for kind in sent_kinds(world) if kind.startswith("dose")]
    world.now = world.now.replace(hour=20)
    decided = corrected(client, home, "decision", why="terraced last year, fence by the pond")

    assert "Nothing is given there until somebody decides." in told
    assert closed == {(DoseState.DROPPED, "site")}
    assert "steep ground, beside open water where bilharzia is common" in text_of(page)
    assert "where bilharzia is common, stay away from open water" in text_of(page)
    assert links_of(page)["Look at the ground and decide"] == f"/plots/{home.plot_id}#ground"
    assert silent == []
    assert "The decision is written down: the ground may be used." in decided
    after = text_of(client.get(planting_page(home)).text)
    assert "Neema Test decided on Sun 14 Mar 20:00 that it may be used: terraced last year" in after
    assert dose(world, home, 3).state is DoseState.PLANNED


def test_the_ground_is_asked_about_at_enrolment(world: World, client: FlaskClient) -> None:
    """S4: asked once per plot; a plot that floods gets nothing until somebody decides."""
    saved = send(client, **(HOUSE | PLOT | MAIZE | {"floods": "yes"}))

    lines = result_of(client.get(saved.location or "").text)

    assert "The ground of plot A is risky, so it gets nothing until somebody decides" in lines
    assert [row.hazards for row in rows(world, PlotRow)] == ["floods"]


def test_burnt_leaves_hold_the_next_dose_until_a_person_goes_on(
    world: World, client: FlaskClient
) -> None:
    """S8: `A BURN` -> next dose held, call task; a person who has looked lets doses go on."""
    home = enrol(world)
    another_can(world, home, number=2, sealed_on=date(2027, 1, 12))
    world.tick("2027-03-27T18:00")
    world.text("A BURN", at="2027-03-28T12:00")
    held = dose(world, home, 2)
    waits = [row.planting_id for row in calls(world, TaskKind.BURNT)]
    world.tick("2027-03-30T12:00")
    page = client.get(planting_page(home)).text

    line = turned(client, home, what="go-on")

    assert (held.state, held.reason) == (DoseState.DROPPED, "hold")
    assert waits == [home.planting_id]
    assert links_of(page)["I have looked: go on"] == planting_page(home, "/turn")
    assert "doses go on. Next dose on Tuesday 30 March 2027." in line
    assert calls(world, TaskKind.BURNT) == []
    after = text_of(client.get(planting_page(home)).text)
    assert "Plants looked at on Tue 30 Mar: doses go on" in after


def test_a_dose_given_before_we_knew_counts_with_its_litres(
    world: World, client: FlaskClient
) -> None:
    """A10: dose 1 was given by hand, 60 L; it stays, and six doses share the 90 L left."""
    home = enrol(world)
    world.tick("2027-03-20T12:00")

    line = turned(client, home, what="given-before", dose="1", day="15/3/2027", litres="60")

    assert "Noted: A1 was given on Monday 15 March 2027, 60 L." in line
    page = text_of(client.get(planting_page(home)).text)
    assert "A1 given on Mon 15 Mar, 60 L, before the plan knew of it" in page
    assert [dose(world, home, number).urine_l for number in range(2, 8)] == [15] * 6
    assert [fact.noted_by for fact in facts(world, home, FactKind.ELSEWHERE)] == ["Neema Test"]


def test_who_eats_one_crop_decides_how_long_its_cans_rest(
    world: World, client: FlaskClient
) -> None:
    """A8: sold raw needs 183 days, so no can sealed on 10 January serves dose 1 of 15 March."""
    home = enrol(world)
    world.tick("2027-03-14T06:00")
    page = planting_page(home, "/eaters")

    answer = post(client, page, page, eats="sold-any")
    line = result_of(client.get(answer.location).text)

    assert "Noted who eats this crop: Others too, or not known." in line
    assert dose(world, home, 1).urine_l == 0
    shown = text_of(client.get(planting_page(home)).text)
    assert "Who eats this crop Others too, or not known" in shown


@pytest.mark.parametrize(
    ("fields", "m2"),
    [
        pytest.param({"area_m2": "80"}, 80, id="square metres"),
        pytest.param({"steps_along": "20", "steps_across": "12"}, 135, id="steps"),
    ],
)
def test_a_corrected_area_is_kept_with_what_it_was(
    world: World, client: FlaskClient, fields: dict[str, str], m2: float
) -> None:
    """E6: 20 x 12 steps at 0.75 m a step make 135 m²; before and after are written down."""
    home = enrol(world)
    world.tick("2027-03-10T12:00")

    line = corrected(client, home, "area", **fields)

    assert f"The area was corrected from 100 to {m2} m²." in line
    assert [row.area_m2 for row in rows(world, PlotRow)] == [m2]
    (audit,) = [row for row in rows(world, AuditRow) if row.what == "area corrected"]
    assert (audit.who, audit.detail) == ("Neema Test", {"before": 100, "after": m2})
