"""The service's season against a second planner, over 10,000 households of fixed seeds.

The second planner was written apart from the service's code, from the same rules; see its file.
"""

from collections import Counter
from collections.abc import Mapping
from datetime import date
from math import isclose

import pytest

from service.agronomy.crops import crop, crops
from service.agronomy.season import Hold, SeasonFacts, Soil, plan_season
from service.agronomy.season_plan import SeasonPlan
from service.agronomy.withholding import DoseStanding, earliest_harvest_on, last_possible_on
from tests.peers.crop_days import CROPS
from tests.peers.day_by_day import Plot, Walked, harvest_from, walk
from tests.peers.households import household

HOUSEHOLDS = 10_000
BLOCK = 1_000

Days = tuple[
    Mapping[int, tuple[date, date]],
    Mapping[int, tuple[date, str]],
    tuple[date, str],
    tuple[date, date],
]


def facts_of(plot: Plot) -> SeasonFacts:
    return SeasonFacts(
        crop=crop(plot.crop),
        planted_on=plot.planted,
        area_m2=plot.area_m2,
        litres_per_m2=plot.litres_per_m2,
        soil=Soil(plot.soil),
        emerged_on=plot.emerged,
        first_harvest_on=plot.first_harvest,
        season_days=plot.season_days,
        fraction=plot.fraction,
        transplanted=plot.transplanted,
        given=plot.given,
        missed=plot.missed,
        told_litres=plot.told,
        holds=tuple(Hold(first_on=first, last_on=last) for first, last in plot.holds),
        not_ready=plot.not_ready,
    )


def harvest_on(plan: SeasonPlan, plot: Plot, today: date) -> date | None:
    standings = [
        DoseStanding(
            number=dose.number,
            due_on=dose.due_on,
            closes_on=dose.closes_on,
            given_on=dose.given_on,
            known_not_done=dose.number in plot.not_done,
        )
        for dose in plan.doses
    ]
    return earliest_harvest_on(last_possible_on(standings, today))


def days_of(plan: SeasonPlan) -> Days:
    return (
        {dose.number: (dose.due_on, dose.closes_on) for dose in plan.doses},
        {dose.number: (dose.due_on, dose.reason.value) for dose in plan.dropped},
        (plan.cutoff_on, plan.cutoff_rule.value),
        (plan.emergence_on, plan.first_harvest_on),
    )


def days_walked(walked: Walked) -> Days:
    return (
        {number: (on, walked.closes[number]) for number, on in walked.falls.items()},
        walked.dropped,
        (walked.cutoff, walked.cutoff_rule),
        (walked.emergence, walked.first_harvest),
    )


def litres_differ(plan: SeasonPlan, walked: Walked) -> list[tuple[float, float]]:
    """Return the amounts that differ by more than the noise of their sums."""
    pairs = [(dose.litres, walked.litres[dose.number]) for dose in plan.doses]
    pairs += [
        (plan.target_litres, walked.target),
        (plan.shortfall_litres, walked.shortfall),
    ]
    noise = 1e-9 * max(1.0, walked.target)
    return [pair for pair in pairs if not isclose(*pair, abs_tol=noise)]


@pytest.mark.slow
@pytest.mark.parametrize("first_seed", range(0, HOUSEHOLDS, BLOCK))
def test_two_planners_agree_on_every_household(first_seed: int) -> None:
    for seed in range(first_seed, first_seed + BLOCK):
        home = household(seed)
        for place, plot in enumerate(home.plots):
            plan, walked = plan_season(facts_of(plot)), walk(plot)

            assert days_of(plan) == days_walked(walked), (seed, place)
            assert litres_differ(plan, walked) == [], (seed, place)
            assert harvest_on(plan, plot, home.today) == harvest_from(plot, walked, home.today), (
                seed,
                place,
            )


def test_a_dose_given_out_of_turn_before_a_hold_is_not_the_one_that_follows_it() -> None:
    """Dose 5 was given on 5 April; dose 4, held on 11 and 12 April, has until 2 May for itself."""
    plot = Plot(
        crop="maize-grain",
        planted=date(2027, 3, 15),
        area_m2=100,
        given={5: date(2027, 4, 5)},
        holds=((date(2027, 4, 11), date(2027, 4, 12)),),
    )

    plan, walked = plan_season(facts_of(plot)), walk(plot)

    assert walked.falls[4] == date(2027, 4, 13)
    assert days_of(plan) == days_walked(walked)


@pytest.mark.parametrize(
    "given_on",
    [
        pytest.param(date(2027, 4, 11), id="on its day"),
        pytest.param(date(2027, 4, 9), id="two days early"),
    ],
)
def test_a_dose_dropped_for_the_next_stays_dropped_once_that_is_given(given_on: date) -> None:
    """The hold ends on 10 April, dose 3 would fall on the 11th, the day of dose 4."""
    plot = Plot(
        crop="maize-grain",
        planted=date(2027, 3, 15),
        area_m2=100,
        given={4: given_on},
        holds=((date(2027, 4, 4), date(2027, 4, 10)),),
        not_ready=frozenset({5}),
    )

    plan, walked = plan_season(facts_of(plot)), walk(plot)

    assert walked.dropped[3] == (date(2027, 4, 4), "hold")
    assert days_of(plan) == days_walked(walked)


def test_the_second_planner_knows_every_crop_that_can_be_planned() -> None:
    planned = {name for name, row in crops().items() if not row.legume | row.perennial}

    assert set(CROPS) == planned


def test_the_households_meet_every_odd_thing_often() -> None:
    """Ten times in the first five hundred households, or the comparison says little."""
    seen: Counter[str] = Counter()
    for seed in range(500):
        for plot in household(seed).plots:
            walked = walk(plot)
            numbers = sorted(plot.given)
            given_on = [plot.given[number] for number in numbers]
            seen.update(why for _, why in walked.dropped.values())
            seen.update(
                name
                for name, holds in {
                    "given out of turn": given_on != sorted(given_on),
                    "missed": bool(plot.missed),
                    "given after the cut-off": max(given_on, default=date.min) > walked.cutoff,
                    "up late": plot.emerged is not None and plot.emerged == walked.emergence,
                    "a shortfall": walked.shortfall > 0.01 * walked.target,
                    "no dose left": not walked.falls,
                    "holds that overlap": any(
                        first < other <= last
                        for first, last in plot.holds
                        for other, _ in plot.holds
                    ),
                    "moved by a hold": any(
                        first <= on.fromordinal(on.toordinal() - 1) <= last
                        for first, last in plot.holds
                        for number, on in walked.falls.items()
                        if number not in plot.given and number not in plot.missed
                    ),
                }.items()
                if holds
            )

    assert len(seen) == 12
    assert min(seen.values()) >= 10, seen
