"""Many plots and one store: the turns, and the table that shows them.

Plot A was sown on 15 March, plot D on 22 March; A3 and D2 are both due on 4 April, on the day on
which the only can, of 30 L, is ready.
"""

from datetime import date

from flask import render_template
from flask.testing import FlaskClient

from service.agronomy.season import plan_season
from service.planning.allotting import Planned, household_stock
from service.planning.cans import cans_by_household
from service.planning.season_facts import season_facts
from service.records.plantings import open_plantings
from service.web.here import tongue
from service.web.source_words import had_words
from service.web.stock_turns import StockTurns, letters_of, stock_turns
from tests.web.reading import text_of
from tests.web.tree import parse
from tests.world import Enrolled, World, enrol
from tests.world_facts import another_plot


def two_plots(world: World) -> tuple[Enrolled, Enrolled]:
    older = enrol(world, sealed_on=date(2027, 3, 5), can_litres=30)
    younger = another_plot(world, older, letter="D", planted_on=date(2027, 3, 22))
    world.tick("2027-03-15T12:00")
    world.tick("2027-04-04T06:00")
    return older, younger


def turns_of(world: World, home: Enrolled) -> StockTurns:
    today = date(2027, 4, 4)
    with world.services.sessions.begin() as session:
        cans = cans_by_household(session, 1, today=today, households=(home.household_id,))[
            home.household_id
        ]
        planned = [
            Planned(bundle=bundle, plan=plan_season(season_facts(bundle)))
            for bundle in open_plantings(session, 1, households=(home.household_id,))
        ]
        return stock_turns(
            household_stock(planned, cans, today=today),
            letters=letters_of(planned),
            cans={can.container_id: can.number for can in cans},
            day=str,
        )


def test_of_doses_due_on_one_day_the_younger_plot_is_served_first(world: World) -> None:
    older, younger = two_plots(world)

    first, second = turns_of(world, older).lines[:2]

    assert (first.place, first.code, first.planting_id) == (1, "D2", younger.planting_id)
    assert (first.wanted_l, first.has_l, first.short_l) == (25, 25, 0)
    assert (second.place, second.code, second.planting_id) == (2, "A3", older.planting_id)
    assert (second.wanted_l, second.has_l, second.short_l) == (30, 5, 25)
    assert [(can.number, can.litres, can.expected) for can in second.cans] == [(1, 5, False)]


def test_the_first_five_turns_are_shown_and_the_rest_is_counted(world: World) -> None:
    """Five doses of A and six of D are still to come."""
    older, _ = two_plots(world)

    turns = turns_of(world, older)

    assert [line.place for line in turns.lines] == [1, 2, 3, 4, 5]
    assert turns.more == 6


def test_the_table_says_the_order_the_cans_and_why(world: World, client: FlaskClient) -> None:
    older, _ = two_plots(world)

    with client:
        client.get("/cautions")
        html = render_template(
            "households/stock_turns.html",
            turns=turns_of(world, older),
            had=had_words,
        )
        assert tongue().code == "en"
    table = [
        [cell.text for cell in row.every("th", "td")]
        for row in next(parse(html).every("tbody")).every("tr")
    ]

    assert table[0][:5] == ["Turn: 1", "D2", "Day: Sun 4 Apr", "Wants, L: 25", "Gets, L: 25"]
    assert table[1][5] == (
        "can 1, 5 L. Of doses due on one day the youngest plot goes first: planted on 2027-03-22"
        " before 2027-03-15. By 2027-04-04 the cans give 5 L of the 30 L wanted: short by 25 L."
    )
    assert "6 more doses come after these." in text_of(html)
    assert "Project choice, no source: due first goes first, then the younger plot." in text_of(
        html
    )
    assert f"/plantings/{older.planting_id}/why#dose-3-amount" in html


def test_without_a_dose_to_come_there_is_no_table(world: World, client: FlaskClient) -> None:
    enrol(world)

    with client:
        client.get("/cautions")
        html = render_template(
            "households/stock_turns.html",
            turns=StockTurns(lines=(), more=0, origins=()),
            had=had_words,
        )

    assert html.strip() == ""
