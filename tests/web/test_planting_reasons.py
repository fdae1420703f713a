"""Why a planting's days and amounts are as they are, with the numbers put in.

Maize on plot A, sown on 15 March; doses on 15 and 28 March, 4, 11 and 18 April, 2 and 16 May;
the last day for a dose is 6 June.
"""

from datetime import date

from flask.testing import FlaskClient

from service.agronomy.season import Soil
from service.confirmations.crop_news import confirm_sown, confirm_up
from service.confirmations.doses import confirm_done, confirm_not_done
from service.records.fields import PlantingRow, PlotRow
from tests.web.reading import text_of
from tests.world import Enrolled, World, enrol
from tests.world_facts import by_call


def reasons_of(client: FlaskClient, home: Enrolled) -> str:
    answer = client.get(f"/plantings/{home.planting_id}/why")
    assert answer.status_code == 200
    return text_of(answer.text)


def test_a_dose_moved_by_the_one_before_names_it(world: World, client: FlaskClient) -> None:
    """Dose 2 done on 2 April: dose 3, due on 4 April, moves to 7 April, five days after."""
    home = enrol(world)
    world.tick("2027-04-02T12:00")
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 2, on=date(2027, 4, 2)))

    reasons = reasons_of(client, home)

    assert (
        "Its day is now Wed 7 Apr. At least 5 days lie between it and the dose of Fri 2 Apr."
        in (reasons)
    )


def test_the_safe_harvest_names_the_dose_that_sets_it(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    given = reasons_of(client, home)
    world.tick("2027-03-29T12:00")
    perhaps = reasons_of(client, home)
    by_call(world, lambda desk: confirm_not_done(desk, home.planting_id, 2))
    neither = reasons_of(client, home)

    assert "The last dose given is A1, on Mon 15 Mar. 30 days later is Wed 14 Apr." in given
    assert "Nobody has told that A2 was not done, so it may be given up to Sat 3 Apr." in perhaps
    assert "30 days later is Mon 3 May." in perhaps
    assert "The last dose given is A1, on Mon 15 Mar." in neither
    assert "the last on Sun 16 May. If they are given, wait until Tue 15 Jun." in neither


def test_amounts_show_the_numbers_that_were_put_in(world: World, client: FlaskClient) -> None:
    """150 L over 7 doses: 21.43 L each, rounded down to half litres; 129 L over 6: 21.5 L."""
    home = enrol(world)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    reasons = reasons_of(client, home)

    assert (
        "1.5 L of urine a square metre and season, the usual amount. On 100 m², as entered, that is"
        " 150 L in all."
    ) in reasons
    assert "21 L of urine: told, given or past, so it stays." in reasons
    assert (
        "129 L of the season's 150 L are left. Doses to share it: 6. Each: 21.5 L."
        " Rounded down: 21.5 L of urine."
    ) in reasons


def test_a_figure_names_its_source_or_that_there_is_none(world: World, client: FlaskClient) -> None:
    home = enrol(world, crop="tomato", planted_on=date(2027, 3, 15))
    world.tick("2027-03-15T12:00")

    reasons = reasons_of(client, home)

    assert "Source, data of a published package: FAO-56, Table 11, tomato" in reasons
    assert "From memory, not looked up: usual first pick, day 65 to 80." in reasons
    assert "Source, read: Eawag Compendium 2008" in reasons
    assert "Common practice, no source: four weekly" in reasons


def test_what_was_entered_or_told_is_named_as_such(world: World, client: FlaskClient) -> None:
    """100 m² at 2 L, halved by salty soil: 100 L; two thirds of 120 days are 80."""
    home = enrol(world)
    with world.services.sessions.begin() as session:
        planting = session.get_one(PlantingRow, home.planting_id)
        planting.season_days, planting.litres_per_m2 = 120, 2.0
        session.get_one(PlotRow, home.plot_id).soil = Soil.SALTY
    world.tick("2027-03-15T12:00")
    by_call(world, lambda desk: confirm_sown(desk, home.planting_id, on=date(2027, 3, 14)))

    reasons = reasons_of(client, home)

    assert "Told: sown or planted out on Sun 14 Mar." in reasons
    assert "Entered for this planting: 120 days." in reasons
    assert "2/3 of 120 days, rounded down, is 80 days after Sun 14 Mar: Wed 2 Jun." in reasons
    assert "2 L of urine a square metre and season, entered for this planting." in reasons
    assert (
        "Salty or dry soil takes 0.5 of it: 1 L a square metre. On 100 m², as entered, that is"
        " 100 L in all."
    ) in reasons
    assert "Salt rises with the dose" in reasons


def test_litres_that_find_no_dose_are_told(world: World, client: FlaskClient) -> None:
    """Up on 10 May: only doses 2 to 4 fit, at most 42.86 L each, in half litres 42.5 L."""
    home = enrol(world)
    world.tick("2027-05-11T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 5, 10)))

    reasons = reasons_of(client, home)

    assert "No dose holds more than 42.86 L. Rounded down: 42.5 L of urine." in reasons
    assert "Doses whose litres may still change: 3, at most 42.86 L each." in reasons
    assert "The doses take 148.5 L of the season's 150 L; 1.5 L find no dose." in reasons


def test_a_dose_whose_days_have_passed_keeps_its_day(world: World, client: FlaskClient) -> None:
    """Nobody told of dose 2, due on 28 March; then the plants were up on 24 March, not 21."""
    home = enrol(world)
    world.tick("2027-03-27T18:00")
    world.tick("2027-04-05T12:00")
    by_call(world, lambda desk: confirm_up(desk, home.planting_id, on=date(2027, 3, 24)))

    reasons = reasons_of(client, home)

    assert (
        "7 days after plants were up on Wed 24 Mar: Wed 31 Mar. Its day is now Sun 28 Mar. Its"
        " days have passed, so it keeps the day it had."
    ) in reasons
    assert "Not known: its days have passed and nobody has told." in reasons


def test_nothing_given_yet_holds_no_harvest_back(world: World, client: FlaskClient) -> None:
    home = enrol(world, crop="amaranth")
    world.tick("2027-03-10T12:00")

    assert "No dose has been given or fallen due so far." in reasons_of(client, home)
