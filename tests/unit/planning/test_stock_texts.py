"""What a grower is told of the cans: too little, none yet, start, seal, too late.

Maize for grain on 100 m² wants 150 L in seven doses (1.5 L/m²: Eawag Compendium 2008). Two adults
and a child collect 2.5 L a day (WHO 2006 via SSWM: an adult 0.8 to 1.5 L, a child about half).
"""

from datetime import date

from service.agronomy.containers import CanEventKind
from service.records.fields import ContainerRow
from service.records.traffic import MessageRow, TaskKind
from tests.world import World, dose_days, enrol, tick_through
from tests.world_facts import another_can, another_plot, can_event
from tests.world_looks import calls, dose, messages

EVENING = ("18:00",)


def said(world: World, kind: str) -> list[MessageRow]:
    return [row for row in messages(world) if row.kind == kind and row.token is not None]


def values(row: MessageRow) -> object:
    return row.fields["values"]


def test_a_reminder_carries_no_more_than_the_cans_hold(world: World) -> None:
    """Dose 1 wants 150 / 7 = 21.4 L, and the can holds 12."""
    enrol(world, can_litres=12)

    world.tick("2027-03-14T18:00")

    assert "12 L urine" in world.bodies()[-1]


def test_a_dose_that_draws_on_two_cans_names_both(world: World) -> None:
    enrolled = enrol(world, can_litres=12)
    another_can(world, enrolled, number=2, sealed_on=date(2027, 1, 15))
    with world.services.sessions.begin() as session:
        session.get_one(ContainerRow, 2).litres = 200

    world.tick("2027-03-14T18:00")

    assert "From can 1+2." in world.bodies()[-1]


def test_two_plots_share_one_can_the_younger_first(world: World) -> None:
    """Both are due on 28 March: plot D's dose 1 of 21 L takes 20 L, plot A's dose 2 gets none."""
    enrolled = enrol(world, can_litres=41)
    another_plot(world, enrolled, letter="D", planted_on=date(2027, 3, 28))
    world.tick("2027-03-14T18:00")

    world.tick("2027-03-27T18:00")

    (told,) = [row for row in messages(world, "dose", "digest") if row.evening == date(2027, 3, 27)]
    assert "plot D" in (told.body or "")
    assert "20 L urine" in (told.body or "")
    assert dose(world, enrolled, 2).urine_l == 0


def test_where_no_can_is_ready_nothing_is_poured_and_the_grower_knows(world: World) -> None:
    """Sealed on 1 March, general rest of 30 days: ready on 31 March, after dose 1 and 2."""
    enrol(world, sealed_on=date(2027, 3, 1))

    world.tick("2027-03-14T18:00")

    assert world.bodies()[-1].startswith(
        "Plot A: no can is ready for A1 on Mon 15 Mar. Pour nothing there yet."
    )
    assert "Wed 31 Mar" in world.bodies()[-1]
    assert len(calls(world, TaskKind.NOT_READY)) == 1


def test_a_dose_whose_can_becomes_ready_within_its_days_is_told_then(world: World) -> None:
    """Sealed on 16 February: ready on 18 March, three days after dose 1, which stays open."""
    enrolled = enrol(world, sealed_on=date(2027, 2, 16))
    tick_through(world, date(2027, 3, 14), date(2027, 3, 21), hours=EVENING)

    told = [row for row in messages(world, "repeat", "dose") if row.token is not None]

    assert [(row.kind, row.evening) for row in told] == [("dose_rain", date(2027, 3, 18))]
    assert (told[0].body or "").startswith("Fri 19 Mar: ")
    assert dose_days(world, enrolled)[1] == date(2027, 3, 15)


def test_a_dose_told_keeps_its_litres_when_an_older_one_may_use_the_can_too(world: World) -> None:
    """A can of 25 L sealed on 15 February is ready on 17 March, the day of plot D's dose 1.

    D1 is told its 21 L on the evening before. Plot A's dose 1 of 15 March is still open then and
    may have the 4 L that are left.
    """
    enrolled = enrol(world, sealed_on=date(2027, 2, 15), can_litres=25)
    younger = another_plot(world, enrolled, letter="D", planted_on=date(2027, 3, 17))

    tick_through(world, date(2027, 3, 14), date(2027, 3, 22), hours=EVENING)

    assert (dose(world, younger, 1).told, dose(world, younger, 1).urine_l) == (True, 21)
    assert (dose(world, enrolled, 1).told, dose(world, enrolled, 1).urine_l) == (True, 4)


def test_stock_that_will_not_last_is_told_three_weeks_ahead_and_once(world: World) -> None:
    """100 L serve doses 1 to 4 (21 + 21.5 + 21.5 + 21.5); dose 5 of 18 April gets 14.5."""
    enrol(world, can_litres=100)
    tick_through(world, date(2027, 3, 24), date(2027, 4, 2), hours=EVENING)

    (told,) = said(world, "short")

    assert told.evening == date(2027, 3, 28)
    assert values(told) == {"plot": "A", "short": 50.0, "advice": "collect"}


def test_of_several_plots_the_young_ones_are_named_first(world: World) -> None:
    enrolled = enrol(world, can_litres=60)
    another_plot(world, enrolled, letter="D", planted_on=date(2027, 3, 20))

    world.tick("2027-03-13T18:00")

    (told,) = said(world, "short")
    assert values(told) == {"plot": "A", "short": 240.0, "advice": {"young": ["D", "A"]}}


def test_stock_that_lasts_gives_no_warning(world: World) -> None:
    enrol(world)
    tick_through(world, date(2027, 3, 10), date(2027, 3, 20), hours=EVENING)

    assert said(world, "short") == []


def test_a_household_is_told_to_start_collecting_in_time_for_its_sowing(world: World) -> None:
    """150 L at 2.5 L a day are 60 days; the last can rests 30 days before the last dose."""
    enrol(world, sealed_on=None, planted_on=date(2027, 5, 20), can_litres=30)

    tick_through(world, date(2027, 2, 20), date(2027, 5, 19), hours=EVENING)

    (told,) = said(world, "collect")
    assert told.body is not None
    assert told.body.startswith("Everyone at home uses the jug. Empty it into can 1")


def test_the_can_being_filled_is_to_be_sealed_by_a_day(world: World) -> None:
    """Dose 1 of 20 May needs its can sealed 30 days before: by 20 April."""
    enrolled = enrol(world, sealed_on=None, planted_on=date(2027, 5, 20), can_litres=30)
    can_event(world, enrolled, CanEventKind.OPENED, date(2027, 4, 10))

    tick_through(world, date(2027, 4, 12), date(2027, 4, 21), hours=EVENING)

    (told,) = said(world, "seal_by")
    assert told.evening == date(2027, 4, 17)
    assert values(told) == {"n": 1, "day": "2027-04-20"}


def test_where_it_is_too_late_for_the_first_dose_the_grower_hears_from_which_on(
    world: World,
) -> None:
    """A can filled from 1 March on (12 days) rests to mid-April: too late for doses 1 to 3."""
    enrol(world, sealed_on=None, can_litres=30)

    tick_through(world, date(2027, 3, 1), date(2027, 3, 3), hours=EVENING)

    (told,) = said(world, "too_late")
    assert (told.body or "").startswith("Plot A: no can will be ready for the first dose.")


def test_nobody_speaks_of_a_first_dose_where_one_is_given_already(world: World) -> None:
    """Dose 1 empties the can; what is filled after it cannot rest in time for the next ones."""
    enrolled = enrol(world, can_litres=21)
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")
    can_event(world, enrolled, CanEventKind.EMPTIED, date(2027, 3, 15))
    can_event(world, enrolled, CanEventKind.OPENED, date(2027, 3, 15))

    tick_through(world, date(2027, 3, 15), date(2027, 3, 30), hours=("18:00",))

    assert said(world, "too_late") == []


def test_the_season_opens_once_before_the_first_dose(world: World) -> None:
    enrol(world)
    tick_through(world, date(2027, 3, 1), date(2027, 3, 20), hours=EVENING)

    (told,) = said(world, "season_opens")
    assert told.evening == date(2027, 3, 5)


def test_who_joins_late_hears_of_the_seasons_cautions_all_the_same(world: World) -> None:
    world.tick("2027-04-01T08:00")
    enrol(world)
    tick_through(world, date(2027, 4, 1), date(2027, 4, 12), hours=EVENING)

    assert len(said(world, "season_opens")) == 1
