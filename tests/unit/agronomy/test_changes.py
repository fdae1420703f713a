"""What a new plan changes, by dose and rule. Maize sown on 15 March, up on the 21st."""

from dataclasses import replace
from datetime import date

from service.agronomy.changes import ChangeKind, changes
from service.agronomy.crops import crop
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.season import Hold, Measure, SeasonFacts, plan_season

MAIZE = SeasonFacts(
    crop=crop("maize-grain"),
    planted_on=date(2027, 3, 15),
    area_m2=100,
    emerged_on=date(2027, 3, 21),
    measure=Measure.GROWER,
)
RAIN = Hold(first_on=date(2027, 4, 10), last_on=date(2027, 4, 12))


def told(before: SeasonFacts, after: SeasonFacts) -> list[tuple[int, ChangeKind, object, object]]:
    found = changes(plan_season(before), plan_season(after))
    return [(each.number, each.kind, each.before_on, each.after_on) for each in found]


def test_the_same_facts_change_nothing() -> None:
    assert told(MAIZE, MAIZE) == []


def test_a_hold_moves_the_dose_in_it_and_says_why() -> None:
    before, after = plan_season(MAIZE), plan_season(replace(MAIZE, holds=(RAIN,)))

    (change,) = changes(before, after)

    assert (change.number, change.kind) == (4, ChangeKind.MOVED)
    assert (change.before_on, change.after_on) == (date(2027, 4, 11), date(2027, 4, 13))
    assert change.why == (MoveReason.HOLD,)


def test_a_longer_hold_drops_it_and_its_litres_go_to_the_doses_to_come() -> None:
    longer = replace(RAIN, last_on=date(2027, 4, 13))
    given = {1: date(2027, 3, 15), 2: date(2027, 3, 28), 3: date(2027, 4, 4)}
    before = replace(MAIZE, given=given, told_litres={1: 21, 2: 21.5, 3: 21.5})

    found = changes(plan_season(before), plan_season(replace(before, holds=(longer,))))

    assert [(each.number, each.kind) for each in found] == [
        (4, ChangeKind.DROPPED),
        (5, ChangeKind.LITRES),
        (6, ChangeKind.LITRES),
        (7, ChangeKind.LITRES),
    ]
    assert found[0].why == (DropReason.HOLD,)
    assert (found[0].before_litres, found[0].after_litres) == (21.5, None)
    assert found[1].after_litres == 28.5


def test_a_hold_that_is_lifted_brings_the_dose_back() -> None:
    longer = replace(RAIN, last_on=date(2027, 4, 13))

    assert told(replace(MAIZE, holds=(longer,)), MAIZE)[3][:2] == (4, ChangeKind.BACK)


def test_late_emergence_moves_every_dose_after_planting_and_drops_the_last() -> None:
    """The last day for a dose is 6 June: two thirds of 125 days."""
    found = told(MAIZE, replace(MAIZE, emerged_on=date(2027, 4, 14)))

    assert [each[0] for each in found if each[1] is ChangeKind.MOVED] == [2, 3, 4, 5, 6]
    assert found[-1] == (7, ChangeKind.DROPPED, date(2027, 5, 16), date(2027, 6, 9))


def test_a_longer_pattern_adds_doses_and_a_shorter_one_takes_them_away() -> None:
    longer = replace(MAIZE, after_emergence_days=(7, 14, 21, 28, 42, 56, 63))

    assert (8, ChangeKind.ADDED, None, date(2027, 5, 23)) in told(MAIZE, longer)
    assert (8, ChangeKind.GONE, date(2027, 5, 23), None) in told(longer, MAIZE)
