"""What the page says to do next on each plot, as the plot, the cans and the weather stand."""

from datetime import date

import pytest
from flask.testing import FlaskClient

from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.confirmations.crop_news import confirm_burnt, confirm_harvest
from service.records.fields import PlotRow
from service.records.people import AssociationRow
from tests.web.homes import bare_home
from tests.web.reading import addresses_of, headings_of, links_of, text_of, title_of
from tests.world import Enrolled, World, doses, enrol
from tests.world_facts import another_can, another_plot, by_call, can_event

EVE = "2027-03-14T18:00"
HTML_MOST = 10_500  # bytes; with the style sheet the page stays under 15 kB


def shown(client: FlaskClient, home: Enrolled, page: str = "") -> str:
    """Return the text of a household's page."""
    return text_of(client.get(f"/households/{home.household_id}{page}").text)


@pytest.mark.parametrize(
    ("at", "words"),
    [
        pytest.param(
            "2027-03-10T12:00",
            "Nothing to pour yet. The first, A1, is on Monday 15 March 2027, with sowing",
            id="days ahead",
        ),
        pytest.param(EVE, "Pour A1 tomorrow, Monday 15 March 2027.", id="the evening before"),
        pytest.param("2027-03-15T12:00", "Pour A1 today, Monday 15 March 2027.", id="its day"),
        pytest.param(
            "2027-03-17T12:00",
            "Pour A1 now: it was due on Monday 15 March 2027 and is open up to Sunday 21 March",
            id="open",
        ),
    ],
)
def test_the_day_is_told_as_people_say_it(
    world: World, client: FlaskClient, at: str, words: str
) -> None:
    home = enrol(world)
    world.tick(at)

    assert words in shown(client, home)


def test_after_a_dose_nothing_is_poured_until_the_next(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick(EVE)
    world.text("A1", at="2027-03-15T12:00")

    found = shown(client, home)

    assert "Pour nothing until Sunday 28 March 2027: then A2. Only if most plants are up" in found
    assert "7 days after plants are up on Sun 21 Mar (assumed): Sun 28 Mar." in found


def test_the_reason_leads_to_the_whole_reason(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick(EVE)

    links = links_of(client.get(f"/households/{home.household_id}").text)

    assert links["The whole reason"] == f"/plantings/{home.planting_id}/why#dose-1-day"
    assert links["Why so late?"] == f"/plantings/{home.planting_id}/why#harvest"
    assert links["All cautions and where they come from"] == "/cautions"


def test_a_dose_takes_two_cans_in_their_order(world: World, client: FlaskClient) -> None:
    """Of 21 L, 15 L fit the can that has rested longer."""
    home = enrol(world, can_litres=15)
    another_can(world, home, number=2, sealed_on=date(2027, 1, 12))
    world.tick(EVE)

    assert "From which can Can 1: 15 L. Can 2: 6 L. How much" in shown(client, home)


def test_urine_and_water_stay_two_numbers_and_each_plant_has_its_share(
    world: World, client: FlaskClient
) -> None:
    """100 m² by 75 and 25 cm is 533 plants: 21 L are 39 mL each, 63 L of water 118 mL."""
    home = enrol(world, water_ratio=3)
    world.tick(EVE)

    found = shown(client, home)

    assert "21 L of urine and 63 L of water." in found
    assert "Each plant: 39 mL of urine and 118 mL of water." in found
    assert "Cups of 250 mL, both mixed: 3 for every 5 plants." in found
    assert "For 10 m of row: 1.5 L of urine and 4.5 L of water." in found


def test_rows_that_were_counted_have_their_own_share(world: World, client: FlaskClient) -> None:
    """Seven rows share 21 L: 3 L each."""
    home = enrol(world, area_m2=100)
    with world.services.sessions.begin() as session:
        plot = session.get_one(PlotRow, home.plot_id)
        plot.measured = "7 rows x 20 m, 71.5 cm apart"
    world.tick(EVE)

    assert "For 20 m of row: 3 L of urine." in shown(client, home)


def test_a_can_that_is_not_ready_says_when_it_is(world: World, client: FlaskClient) -> None:
    home = enrol(world, sealed_on=date(2027, 2, 20))
    world.tick(EVE)

    found = shown(client, home)

    assert "Pour nothing yet: no can is ready for A1, due on Monday 15 March 2027." in found
    assert "No can is ready for it. Can 1 is ready on Monday 22 March 2027." in found
    assert "Nothing now; 21 L of urine are planned." in found
    assert (
        "Next dose: Monday 15 March 2027. Nothing is to be poured. No can is ready for it." in found
    )
    assert ", 0 L" not in found


def test_cans_that_earlier_doses_emptied_give_nothing(world: World, client: FlaskClient) -> None:
    """Dose 1 takes all 21 L of the only can, and what is filled since then rests for a month."""
    home = enrol(world, can_litres=21)
    world.tick(EVE)
    world.text("A1", at="2027-03-15T12:00")

    found = shown(client, home)

    assert "Pour nothing yet: the cans hold nothing for A2, due on Sunday 28 March 2027." in found
    assert (
        "Next dose: Sunday 28 March 2027. Nothing is to be poured. By what was told, the cans that"
        " have rested are empty."
    ) in found
    assert "Nothing now; 21.5 L of urine are planned." in found


def test_a_dose_whose_turn_comes_too_late_gets_nothing(world: World, client: FlaskClient) -> None:
    """D2 of the younger plot takes all 25 L on 4 April, the day of A3 as well."""
    home = enrol(world, sealed_on=date(2027, 3, 5), can_litres=25)
    another_plot(world, home, letter="D", planted_on=date(2027, 3, 22))
    world.tick("2027-03-15T12:00")
    world.tick("2027-04-04T06:00")

    found = shown(client, home)

    assert "Pour D2 today, Sunday 4 April 2027." in found
    assert (
        "Pour nothing yet: doses before A3, due on Sunday 4 April 2027, take what the cans hold."
        in found
    )
    assert (
        "Next dose: Sunday 4 April 2027. Nothing is to be poured. What the cans hold goes to doses"
        " before it."
    ) in found
    assert "Next dose: Sunday 4 April 2027, 25 L." in found


def test_without_a_sealed_can_one_is_to_be_filled(world: World, client: FlaskClient) -> None:
    home = enrol(world, sealed_on=None)
    can_event(world, home, CanEventKind.EMPTIED, date(2027, 3, 1))
    world.tick(EVE)

    assert "No can is ready for it. Fill one and seal it." in shown(client, home)


def test_a_cold_store_is_named_where_it_keeps_a_can_from_being_ready(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, regime=Regime.SOLD_ANY, sealed_on=date(2026, 8, 1))
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, 1).store_c = None
    world.tick(EVE)

    assert "The store's warmth is not known, or it is cold" in shown(client, home)


def test_ground_that_waits_for_a_decision_gets_nothing(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    with world.services.sessions.begin() as session:
        session.get_one(PlotRow, home.plot_id).hazards = "steep"
    world.tick(EVE)

    html = client.get(f"/households/{home.household_id}").text

    assert "Pour nothing here: the ground is risky, and nobody has decided." in text_of(html)
    assert links_of(html)["Look at the ground and decide"] == f"/plots/{home.plot_id}#ground"
    assert "How much" not in text_of(html)


def test_burnt_leaves_wait_for_a_person(world: World, client: FlaskClient) -> None:
    """A week's wait takes A2 of 28 March too near to A3, so that A3 comes next."""
    home = enrol(world)
    world.tick(EVE)
    world.text("A1", at="2027-03-15T12:00")
    world.tick("2027-03-25T12:00")
    by_call(world, lambda desk: confirm_burnt(desk, home.planting_id))

    html = client.get(f"/households/{home.household_id}").text

    assert "Wait: leaves are burnt, and a person looks first. Then A3 on Sunday 4 April" in (
        text_of(html)
    )
    assert links_of(html)["I have looked: go on"] == f"/plantings/{home.planting_id}/turn"


def test_rain_names_the_code_and_the_day_the_dose_moves_to(
    world: World, client: FlaskClient
) -> None:
    """RAIN holds two days: what the page says beforehand is what then happens."""
    home = enrol(world)
    world.tick(EVE)
    before = shown(client, home)
    world.text("A RAIN", at="2027-03-15T07:00")

    assert "do not pour. Text A RAIN, or ring the coordinator." in before
    assert "A1 then moves to Wednesday 17 March 2027." in before
    assert "A1 is then left out" not in before
    (first,) = [row for row in doses(world, home) if row.number == 1]
    assert first.due_on == date(2027, 3, 17)


def test_the_code_for_rain_is_in_the_language_of_the_grower(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, language="sw")
    world.tick(EVE)

    assert "Text A MVUA, or ring the coordinator." in shown(client, home)


@pytest.mark.parametrize("how", ["no letter", "calls"])
def test_where_nobody_texts_rain_is_told_by_voice(
    world: World, client: FlaskClient, how: str
) -> None:
    home = enrol(world, letter=None if how == "no letter" else "A", needs_call=how == "calls")
    world.tick(EVE)

    found = shown(client, home)

    assert "do not pour. Ring the coordinator." in found
    assert "RAIN" not in found


def test_harvest_is_safe_a_month_after_the_last_dose(world: World, client: FlaskClient) -> None:
    """The last of seven doses falls on 16 May 2027, so harvest waits until 15 June."""
    home = enrol(world)
    world.tick(EVE)
    before = shown(client, home)
    world.text("A1", at="2027-03-15T12:00")

    after = shown(client, home)

    assert "Not before Tuesday 15 June 2027, if the doses left are given." in before
    assert "by what is known today" not in before.lower()
    assert "By what is known today, not before Wednesday 14 April 2027." in after


def test_after_the_harvest_nothing_is_poured(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    world.tick("2027-08-02T12:00")
    by_call(world, lambda desk: confirm_harvest(desk, home.planting_id, on=date(2027, 8, 1)))

    found = shown(client, home)

    assert "All is harvested: nothing to pour. Add the next planting" in found
    assert "Nothing grows here now" in shown(client, home, "/next")


def test_when_no_dose_is_left_the_harvest_day_stands(world: World, client: FlaskClient) -> None:
    """Seven doses in silence: each may have been given; the last window ends on 22 May."""
    home = enrol(world)
    for day in ("2027-03-14", "2027-04-10", "2027-05-15", "2027-06-20"):
        world.tick(f"{day}T18:00")

    found = shown(client, home)

    assert "Pour nothing more: no dose is left." in found
    assert "By what is known today, not before" in found


def test_a_home_without_a_plan_says_to_add_what_is_missing(
    world: World, client: FlaskClient
) -> None:
    html = client.get(f"/households/{bare_home(world)}").text

    assert "No plan yet. Add what is missing, then this place says what to do." in text_of(html)


def test_a_plan_that_is_not_made_yet_is_said_to_come(world: World, client: FlaskClient) -> None:
    home = enrol(world)

    assert "The plan is made within some minutes: look again then." in shown(client, home)


def test_the_earliest_plot_comes_first_and_only_two_are_told_in_full(
    world: World, client: FlaskClient
) -> None:
    home = enrol(world, planted_on=date(2027, 4, 20))
    another_plot(world, home, letter="D", planted_on=date(2027, 4, 1))
    another_plot(world, home, letter="G", planted_on=date(2027, 3, 15))
    world.tick(EVE)

    html = client.get(f"/households/{home.household_id}").text

    assert [each for each in headings_of(html, "h3") if each.startswith("Plot ")] == [
        "Plot G: maize",
        "Plot D: maize",
    ]
    assert "Plot A: maize: Nothing to pour yet. The first, A1, is on Tuesday 20 April" in (
        text_of(html)
    )
    assert links_of(html)["All plots in full"] == f"/households/{home.household_id}/next"
    full = headings_of(client.get(f"/households/{home.household_id}/next").text, "h2")
    assert full[:3] == ["Plot G: maize", "Plot D: maize", "Plot A: maize"]


def test_more_plots_than_a_page_bears_stand_on_the_next(world: World, client: FlaskClient) -> None:
    home = enrol(world)
    for letter in "DGJMPTW":
        another_plot(world, home, letter=letter)
    world.tick(EVE)
    page = f"/households/{home.household_id}/next"

    first, second = client.get(page), client.get(f"{page}?page=2")

    plots = [
        [each for each in headings_of(answer.text, "h2") if each.startswith("Plot ")]
        for answer in (first, second)
    ]
    assert [len(each) for each in plots] == [5, 3]
    assert len({*plots[0], *plots[1]}) == 8
    assert len(first.data) < HTML_MOST


@pytest.mark.parametrize(
    ("change", "words"),
    [
        pytest.param("salty", "Salty or dry soil takes only half", id="salty soil"),
        pytest.param("own", "Two weeks of rest are common practice", id="two weeks"),
        pytest.param("usual", "More is not better", id="usual"),
    ],
)
def test_three_cautions_of_the_moment_stand_there(
    world: World, client: FlaskClient, change: str, words: str
) -> None:
    own = change == "own"
    home = enrol(world, regime=Regime.OWN_HOUSEHOLD if own else Regime.GENERAL)
    if change == "salty":
        with world.services.sessions.begin() as session:
            session.get_one(PlotRow, home.plot_id).soil = Soil.SALTY
    world.tick(EVE)

    found = shown(client, home)

    assert words in found
    assert "Wear gloves or wash your hands" in found
    assert "into a furrow, 10 to 20 cm from the stems" in found


@pytest.mark.parametrize("page", ["", "/next", "/stock", "/collecting"])
def test_a_discreet_home_shows_neither_word_nor_crop_in_its_titles(
    world: World, client: FlaskClient, page: str
) -> None:
    home = enrol(world, discreet=True)
    world.tick(EVE)

    html = client.get(f"/households/{home.household_id}{page}").text

    assert "urine" not in text_of(html)
    assert not {"urine", "maize"} & set(title_of(html).lower().split())
    assert f"/households/{home.household_id}" in " ".join(addresses_of(html))
    assert "maize" not in " ".join(headings_of(html))
