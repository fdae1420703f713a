"""The rules of the field as growers meet them: in texts, answers, plans and calls."""

from datetime import date
from pathlib import Path

import pytest

from service.agronomy.calendar import add_days
from service.agronomy.containers import CanEventKind
from service.agronomy.regimes import Regime
from service.agronomy.season import plan_season
from service.planning.season_facts import season_facts
from service.records.fields import DoseState, FactKind, Flag
from service.records.plantings import planting_bundle
from service.records.traffic import TaskKind
from tests.world import Enrolled, World, an_association, dose_days, doses, enrol, tick_through
from tests.world_facts import can_event
from tests.world_looks import calls, dose, facts, messages, sent_kinds

HOURS = ("06:00", "18:00")
SEALED_ON = date(2027, 3, 1)


def told_days(world: World) -> list[date]:
    """Return the days of the doses that the texts which left speak of."""
    return [
        date.fromisoformat(row.fields["values"]["day"])
        for row in messages(world, "dose")
        if row.body is not None
    ]


def test_adding_to_a_container_on_day_10_of_30_makes_it_ready_on_day_40(tmp_path: Path) -> None:
    """A8: refill on day 10 of 30 -> ready day 40; no dose text names a day before that."""
    world = World(folder=tmp_path)
    enrolled = enrol(world, sealed_on=SEALED_ON)
    can_event(world, enrolled, CanEventKind.REFILLED, add_days(SEALED_ON, 10))
    ready_on = add_days(SEALED_ON, 10 + 30)
    tick_through(world, date(2027, 3, 14), date(2027, 4, 30), hours=HOURS)

    assert ready_on == date(2027, 4, 10)
    assert told_days(world) == [date(2027, 4, 11), date(2027, 4, 18)]
    assert [row.evening for row in messages(world, "ready")] == [add_days(ready_on, 1)]
    world.close()


@pytest.mark.parametrize(
    ("regime", "rest_days"),
    [
        pytest.param(Regime.OWN_HOUSEHOLD, 14, id="own household (common practice, no source)"),
        pytest.param(Regime.GENERAL, 30, id="general"),
        pytest.param(Regime.SOLD_PROCESSED, 30, id="processed before sale"),
        pytest.param(Regime.SOLD_ANY, 183, id="sold in any form"),
    ],
)
def test_who_eats_the_crop_decides_how_long_a_container_rests(
    tmp_path: Path, regime: Regime, rest_days: int
) -> None:
    """A8: storage regime by who eats (WHO 2006, vol. 4, for the longer rests)."""
    world = World(folder=tmp_path)
    ready_on = date(2027, 4, 1)
    enrol(world, regime=regime, sealed_on=add_days(ready_on, -rest_days))
    tick_through(world, date(2027, 3, 14), date(2027, 4, 3), hours=HOURS)

    assert told_days(world) == [date(2027, 4, 4)]
    world.close()


def test_a_cold_store_gives_no_dose_to_a_crop_sold_to_anyone(tmp_path: Path) -> None:
    """A8: regime sold-any with a store at 17 degrees -> never ready; a call says so."""
    world = World(folder=tmp_path)
    an_association(world, store_c=17)
    enrolled = enrol(world, regime=Regime.SOLD_ANY, sealed_on=date(2026, 1, 10))
    tick_through(world, date(2027, 3, 14), date(2027, 5, 30), hours=HOURS)

    sent = sent_kinds(world)
    assert [kind for kind in sent if kind.startswith(("dose", "repeat", "digest"))] == []
    assert sent.count("no_can") == 7
    assert len(calls(world, TaskKind.NOT_READY)) == 7
    assert {(row.state, row.reason) for row in doses(world, enrolled)} == {
        (DoseState.DROPPED, "not-ready")
    }
    world.close()


def season_with_last_dose_done(world: World) -> Enrolled:
    """Play a season from the fourth dose on, its seventh and last dose done on 16 May."""
    enrolled = enrol(world)
    world.text("A UP", at="2027-03-21T12:00")
    tick_through(world, date(2027, 4, 10), date(2027, 5, 15), hours=HOURS)
    world.text("A7", at="2027-05-16T12:00")
    return enrolled


def test_harvest_is_safe_thirty_days_after_the_last_dose(tmp_path: Path) -> None:
    """A9: last dose 05-16 -> earliest harvest 06-15, told with the answer (WHO 2006, vol. 4)."""
    world = World(folder=tmp_path)
    season_with_last_dose_done(world)

    assert sent_kinds(world)[-1] == "last"
    assert "Harvest from Tue 15 Jun, not before." in world.bodies()[-1]
    assert add_days(date(2027, 5, 16), 30) == date(2027, 6, 15)
    world.close()


def test_an_early_harvest_is_recorded_answered_with_the_day_and_shown(tmp_path: Path) -> None:
    """A9: `A CUT` on 06-01 -> the reply states the date, the harvest is kept, a call opens."""
    world = World(folder=tmp_path)
    enrolled = season_with_last_dose_done(world)
    world.text("A CUT", at="2027-06-01T12:00")
    kept = facts(world, enrolled, FactKind.HARVESTED)

    assert "wait until Tue 15 Jun to harvest" in world.bodies()[-1]
    assert [(fact.on, fact.flag) for fact in kept] == [(date(2027, 6, 1), Flag.TOO_EARLY)]
    assert len(calls(world, TaskKind.EARLY_HARVEST)) == 1
    world.close()


def test_a_harvest_on_the_safe_day_is_thanked_for(tmp_path: Path) -> None:
    """A9: from 06-15 on there is nothing to warn of."""
    world = World(folder=tmp_path)
    enrolled = season_with_last_dose_done(world)
    world.text("A CUT", at="2027-06-15T12:00")

    assert sent_kinds(world)[-1] == "r_harvest"
    assert [fact.flag for fact in facts(world, enrolled, FactKind.HARVESTED)] == [None]
    assert calls(world, TaskKind.EARLY_HARVEST) == []
    world.close()


def test_a_last_dose_that_nobody_told_of_counts_as_given_on_its_last_day(tmp_path: Path) -> None:
    """A9: the dose of 05-16 may have been given until 05-22, so harvest is safe from 06-21."""
    world = World(folder=tmp_path)
    enrol(world)
    tick_through(world, date(2027, 5, 1), date(2027, 5, 30), hours=HOURS)
    world.text("A CUT", at="2027-06-15T12:00")

    assert add_days(date(2027, 5, 16), 6 + 30) == date(2027, 6, 21)
    assert "wait until Mon 21 Jun to harvest" in world.bodies()[-1]
    world.close()


def test_a_late_dose_moves_the_next_so_that_five_days_lie_between(tmp_path: Path) -> None:
    """A10: dose 3 done on 04-09 (due 04-04) -> dose 4 04-11 to 04-14, dose 5 04-18 to 04-19."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    tick_through(world, date(2027, 4, 3), date(2027, 4, 8), hours=HOURS)
    before = dose_days(world, enrolled)
    world.text("A3", at="2027-04-09T12:00")
    after = dose_days(world, enrolled)

    assert [before[number] for number in (3, 4, 5)] == [
        date(2027, 4, 4),
        date(2027, 4, 11),
        date(2027, 4, 18),
    ]
    assert [after[number] for number in (3, 4, 5, 6, 7)] == [
        date(2027, 4, 9),
        date(2027, 4, 14),
        date(2027, 4, 19),
        date(2027, 5, 2),
        date(2027, 5, 16),
    ]
    assert "the next dose moves to Wed 14 Apr" in world.bodies()[-1]
    world.close()


@pytest.mark.parametrize("answer", ["A3 NO", None], ids=["told as not done", "never told of"])
def test_a_missed_dose_is_not_made_up(tmp_path: Path, answer: str | None) -> None:
    """A10: dose 3 `NO` -> days and amounts of the others unchanged; the same for silence."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-04-03T18:00")
    before = {row.number: (row.due_on, row.urine_l, row.revision) for row in doses(world, enrolled)}
    if answer is not None:
        world.text(answer, at="2027-04-05T12:00")
    world.tick("2027-04-11T06:00")
    after = {row.number: (row.due_on, row.urine_l, row.revision) for row in doses(world, enrolled)}

    assert dose(world, enrolled, 3).state is (
        DoseState.NOT_KNOWN if answer is None else DoseState.NOT_DONE
    )
    assert after == before
    world.close()


def test_emergence_is_asked_for_once_and_then_by_a_call(tmp_path: Path) -> None:
    """A20: sown 03-15, silence: "is A up?" on 03-21 18:00; task on the morning of 03-27."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    tick_through(world, date(2027, 3, 14), date(2027, 3, 20), hours=(*HOURS, "19:55"))
    world.tick("2027-03-21T17:59")
    early = [kind for kind in sent_kinds(world) if kind == "emerge_q"]
    world.tick("2027-03-21T18:00")
    asked = world.bodies()[-1]
    tick_through(world, date(2027, 3, 22), date(2027, 3, 26), hours=(*HOURS, "23:59"))
    world.tick("2027-03-27T05:59")
    no_call = calls(world, TaskKind.EMERGENCE)
    world.tick("2027-03-27T06:00")
    called = calls(world, TaskKind.EMERGENCE)
    world.tick("2027-03-27T18:00")
    with world.services.sessions.read() as session:
        plan = plan_season(season_facts(planting_bundle(session, 1, enrolled.planting_id)))

    assert early == []
    assert asked.startswith("Plot A, maize: have most plants come up?")
    assert sent_kinds(world).count("emerge_q") == 1
    assert no_call == []
    assert [task.planting_id for task in called] == [enrolled.planting_id]
    assert plan.emergence_assumed
    assert world.bodies()[-1].startswith("Only if plants are up. Sun 28 Mar: maize, plot A.")
    world.close()


def test_a_reported_emergence_ends_the_asking(tmp_path: Path) -> None:
    """A20 A3: `A UP` on the fourth day after the usual one -> no call, and the days follow."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    tick_through(world, date(2027, 3, 14), date(2027, 3, 24), hours=HOURS)
    world.text("A UP", at="2027-03-25T12:00")
    tick_through(world, date(2027, 3, 26), date(2027, 4, 2), hours=HOURS)

    assert dose_days(world, enrolled)[2] == add_days(date(2027, 3, 25), 7)
    assert calls(world, TaskKind.EMERGENCE) == []
    assert world.bodies()[-1].startswith("Plot A, maize: dose 2 is still open.")
    assert not [text for text in world.bodies() if text.startswith("Only if")]
    world.close()


def test_a_bare_yes_is_not_taken_for_a_dose_while_the_emergence_question_waits(
    tmp_path: Path,
) -> None:
    """A20: dose 1 is open still when the question comes; "yes" could answer either."""
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    tick_through(world, date(2027, 3, 14), date(2027, 3, 21), hours=HOURS)
    world.text("yes", at="2027-03-21T18:30")

    assert sent_kinds(world)[-2:] == ["emerge_q", "unread"]
    assert facts(world, enrolled, *FactKind) == []
    world.close()
