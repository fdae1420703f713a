"""Why a dose was moved, left out or made smaller, and which figures are local.

Maize on plot A, sown on Monday 15 March; doses on 15 and 28 March, 4, 11 and 18 April, 2 and
16 May; the last day for a dose is 6 June.
"""

from collections.abc import Callable
from datetime import date
from functools import partial

from flask.testing import FlaskClient

from service.agronomy.dosing import Season
from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.season import Soil
from service.agronomy.watering import SeasonSpan
from service.confirmations.crop_news import confirm_rain
from service.confirmations.doses import confirm_done
from service.records.engine import Session
from service.records.fields import PlantingRow, PlotRow
from service.records.locality_acts import Noted, add_area_hold, add_local_value, add_season_span
from service.records.people import HouseholdRow
from tests.web.reading import said_under
from tests.world import Enrolled, World, enrol
from tests.world_facts import another_plot, by_call


def part(client: FlaskClient, home: Enrolled, anchor: str) -> str:
    """Return the words that stand under an anchor of the page of reasons."""
    answer = client.get(f"/plantings/{home.planting_id}/why")
    assert answer.status_code == 200
    return said_under(answer.text, anchor)


def entered(
    world: World, enter: Callable[[Session, Noted], object], *, who: str = "Asha Test"
) -> None:
    """Let somebody of the staff enter something for the areas."""
    with world.services.sessions.begin() as session:
        enter(session, Noted(who=who, at=world.clock()))


def test_a_weekday_to_be_avoided_moves_a_dose_by_a_day(world: World, client: FlaskClient) -> None:
    """Doses 2 to 7 fall on Sundays; the day after is free."""
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(HouseholdRow, home.household_id).avoid_weekday = 6
    world.tick("2027-03-15T12:00")

    day = part(client, home, "dose-3-day")

    assert (
        "14 days after plants are up on Sun 21 Mar (assumed): Sun 4 Apr. Its day is now Mon 5 Apr."
        " This household does no dose work on the weekday of Sun 4 Apr."
    ) in day
    assert "Project choice, no source: the day after a weekday to be avoided" in day


def test_a_hold_of_an_area_moves_a_dose_too(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    entered(
        world,
        lambda session, noted: add_area_hold(
            session,
            1,
            area_id=1,
            first_on=date(2027, 4, 10),
            last_on=date(2027, 4, 12),
            noted=noted,
        ),
    )
    world.tick("2027-03-15T12:00")

    day = part(client, home, "dose-4-day")

    assert "Its day is now Tue 13 Apr. No dose from Sat 10 Apr to Mon 12 Apr" in day
    assert "Project choice, no source: a dose waits for the day after a hold" in day


def test_a_dose_left_out_by_a_hold_names_both_days(world: World, client: FlaskClient) -> None:
    """Held to 8 April, dose 3 would come 3 days before dose 4."""
    home = enrol(world)
    entered(
        world,
        lambda session, noted: add_area_hold(
            session,
            1,
            area_id=None,
            first_on=date(2027, 4, 3),
            last_on=date(2027, 4, 7),
            noted=noted,
        ),
    )
    world.tick("2027-03-15T12:00")

    day = part(client, home, "dose-3-day")

    assert (
        "From Thu 8 Apr to the dose of Sun 11 Apr it is 3 days; at least 5 must lie between."
        in (day)
    )


def test_a_hold_that_ends_near_a_dose_done_makes_both_reasons_stand(
    world: World, client: FlaskClient
) -> None:
    """Dose 2 done on 2 April moves dose 3 to 7 April; rain holds it to 8 April."""
    home = enrol(world)
    world.tick("2027-04-02T12:00")
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 2, on=date(2027, 4, 2)))
    world.tick("2027-04-07T06:00")
    by_call(world, lambda desk: confirm_rain(desk, home.planting_id))

    day = part(client, home, "dose-3-day")

    assert (
        "Its day is now Wed 7 Apr. At least 5 days lie between it and the dose of Fri 2 Apr."
        in (day)
    )
    assert "No dose from Wed 7 Apr to Thu 8 Apr" in day


def test_water_names_the_season_of_its_day(world: World, client: FlaskClient) -> None:
    """Rains from 1 April; the planting itself was entered for the dry season."""
    home = enrol(world, water_ratio=2)
    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, home.planting_id).water_ratio = None
    span = SeasonSpan(season=Season.RAINS, first_on=date(2027, 4, 1), last_on=date(2027, 5, 31))
    entered(
        world,
        lambda session, noted: add_season_span(session, 1, area_id=1, span=span, noted=noted),
    )
    world.tick("2027-03-15T12:00")

    before, within = (part(client, home, f"dose-{number}-amount") for number in (2, 3))
    water = part(client, home, "water")

    assert "Water: 2 parts to one, 43 L." in before
    assert "Rains from Thu 1 Apr to Mon 31 May. No water." in within
    assert "Dry season, as entered for this planting." in water
    assert "In the dry season at least 2 parts of water to one." in water
    assert "No water is added in the rains, unless it is chosen." in water


def test_a_local_figure_says_so_and_by_whom(world: World, client: FlaskClient) -> None:
    """Two thirds of 110 days, rounded down, are 73."""
    home = enrol(world)
    value = LocalValue(
        key=LocalKey.SEASON_DAYS, value="110", source="Ward trial of 2026", crop="maize-grain"
    )
    entered(world, lambda session, noted: add_local_value(session, 1, value, noted=noted))
    world.tick("2027-03-15T12:00")

    season = part(client, home, "season")

    assert "110 days, as is usual for maize." in season
    assert "Local value, by Asha Test, source: Ward trial of 2026." in season
    assert "2/3 of 110 days, rounded down, is 73 days" in part(client, home, "cutoff")
    assert "Source, data of a published package: AquaCrop" in part(client, home, "up")


def test_of_one_source_each_local_figure_names_who_entered_it(
    world: World, client: FlaskClient
) -> None:
    """One trial's figures: two by Asha, one by Baraka, and one for salty ground by Chausiku."""
    home = enrol(world)
    figures = (
        ("Asha Test", LocalKey.SEASON_DAYS, "110", "maize-grain", None),
        ("Baraka Test", LocalKey.EMERGENCE_DAYS, "9", "maize-grain", None),
        ("Asha Test", LocalKey.PATTERN, "7,14,21", None, None),
        ("Chausiku Test", LocalKey.SEASON_DAYS, "100", "maize-grain", Soil.SALTY),
    )
    for who, key, figure, crop, soil in figures:
        value = LocalValue(key=key, value=figure, source="Ward trial", crop=crop, soil=soil)
        entered(world, partial(_value_for_all, value), who=who)
    world.tick("2027-03-15T12:00")

    season, up, pattern = (part(client, home, anchor) for anchor in ("season", "up", "pattern"))

    assert season.endswith("Local value, by Asha Test, source: Ward trial.")
    assert up.endswith("Local value, by Baraka Test, source: Ward trial.")
    assert pattern.endswith("Local value, by Asha Test, source: Ward trial.")


def _value_for_all(value: LocalValue, session: Session, noted: Noted) -> None:
    add_local_value(session, 1, value, noted=noted)


def test_a_local_nitrogen_target_is_redone_in_litres(world: World, client: FlaskClient) -> None:
    """60 kg a hectare at 5 g a litre are 1.2 L a square metre."""
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlantingRow, home.planting_id).litres_per_m2 = None
    value = LocalValue(key=LocalKey.N_KG_PER_HA, value="60", source="Extension office")
    entered(world, lambda session, noted: add_local_value(session, 1, value, noted=noted))
    world.tick("2027-03-15T12:00")

    total = part(client, home, "total")

    assert "60 kg of nitrogen a hectare. 5 g of nitrogen in a litre." in total
    assert "Together that is 1.2 L of urine a square metre and season." in total
    assert "Local value, by Asha Test, source: Extension office." in total


def test_a_short_store_says_whose_turn_it_is_and_what_is_lacking(
    world: World, client: FlaskClient
) -> None:
    """One can of 30 L, ready on 4 April: 25 L go to the younger plot, 5 L of 30 L to the older."""
    home = enrol(world, sealed_on=date(2027, 3, 5), can_litres=30)
    younger = another_plot(world, home, letter="D", planted_on=date(2027, 3, 22))
    world.tick("2027-03-15T12:00")
    world.tick("2027-04-04T06:00")

    first = part(client, younger, "dose-2-amount")
    second = part(client, home, "dose-3-amount")

    assert "Turn 1 of 11 at the cans: due on Sun 4 Apr." in first
    assert "Can 1 gives 25 L. That is enough." in first
    assert (
        "Turn 2 of 11 at the cans: due on Sun 4 Apr. Of doses due on one day the youngest plot goes"
        " first: planted on Mon 22 Mar before Mon 15 Mar. Can 1 gives 5 L. By Sun 4 Apr the cans"
        " give 5 L of the 30 L wanted: short by 25 L."
    ) in second
    assert "then the one due first; of one day's doses the youngest plot's." in part(
        client, home, "turns"
    )


def test_a_plot_at_risk_names_why_nothing_is_given(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlotRow, home.plot_id).hazards = "steep"
    world.tick("2027-03-15T12:00")

    day = part(client, home, "dose-3-day")

    assert "Its ground waits for a decision: nothing is given there." in day
    assert "Project choice, no source: ground at risk waits" in day


def test_a_dose_without_a_can_says_that_none_was_ready(world: World, client: FlaskClient) -> None:
    home = enrol(world, sealed_on=None)
    world.tick("2027-03-15T12:00")
    world.tick("2027-03-22T12:00")

    day = part(client, home, "dose-1-day")

    assert "No can was ready while it was open." in day
    assert "Project choice, no source: nothing from a can that is not ready." in day


def test_a_dose_that_the_pattern_no_longer_has_says_so(world: World, client: FlaskClient) -> None:
    """A local pattern of four doses, entered when the usual seven were planned."""
    home = enrol(world)
    world.tick("2027-03-15T12:00")
    value = LocalValue(key=LocalKey.PATTERN, value="7,14,21", source="Ward trial")
    entered(world, lambda session, noted: add_local_value(session, 1, value, noted=noted))

    third, sixth = (part(client, home, f"dose-{number}") for number in (3, 6))

    assert "A3: dose 3 of the 4 of a full season" in third
    assert "37.5 L" in third
    assert "21.5 L stand on the page until the next step" in third
    assert "A6: no longer in the plan" in sixth
    assert "Local value, by Asha Test, source: Ward trial." in part(client, home, "pattern")


def test_what_has_no_source_is_said_once_a_section(world: World, client: FlaskClient) -> None:
    """Two kinds of "no source" stand apart: a choice of ours, and what is common practice."""
    home = enrol(world)
    world.tick("2027-03-15T12:00")

    sharing, turns = part(client, home, "sharing"), part(client, home, "turns")

    assert sharing.endswith(
        "Project choice, no source: no dose above twice the equal share of the full pattern; equal"
        " shares of what is left; what was told or given stays. Common practice, no source: steps"
        " that a grower can measure."
    )
    assert turns.count("Project choice, no source:") == 1
    assert turns.endswith("; nothing from a can that is not ready.")
