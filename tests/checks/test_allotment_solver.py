"""The service's allotment against a second one and against an exact solver, by fixed seeds.

Where one kind of eater is served the second one pours measure by measure, first come first
served. Where kinds are mixed, each dose in its turn must get the most that a linear programme
(scipy's HiGHS) finds while all doses before it keep their litres.
"""

from collections.abc import Mapping, Sequence
from math import floor

import pytest

from service.agronomy.allotment import Allotment, Ask, Stock, allot
from service.agronomy.regimes import Regime
from tests.peers.day_by_day import walk
from tests.peers.exact import most_in_turn
from tests.peers.first_come import MEASURES_IN_A_LITRE, Can, Want, in_turn, may_pour, serve
from tests.peers.households import Household, household
from tests.peers.mixed_cases import MixedCase, mixed_case

HOUSEHOLDS = 10_000
BLOCK = 1_000
MIXED_CASES = 1_500
ROUNDED_CASES = 600
LITRE_NOISE = 1e-5

Dose = tuple[int, int]


def stock_of(can: Can) -> Stock:
    return Stock(
        can=can.number,
        sealed_on=can.sealed,
        litres=can.measures / MEASURES_IN_A_LITRE,
        longer_rest=can.longer_rest,
        forecast=can.forecast,
    )


def ask_of(want: Want) -> Ask:
    return Ask(
        dose=(want.plot, want.dose),
        due_on=want.due,
        on=want.pour,
        planted_on=want.planted,
        litres=want.measures / MEASURES_IN_A_LITRE,
        regime=Regime(want.eaters),
    )


def allotted(
    cans: Sequence[Can], wants: Sequence[Want], store_c: float | None
) -> Mapping[Dose, Allotment]:
    return allot([stock_of(can) for can in cans], map(ask_of, wants), store_c=store_c)


def allotted_case(case: MixedCase) -> Mapping[Dose, Allotment]:
    return allotted(case.cans, case.wants, case.store_c)


def wants_of(home: Household) -> list[Want]:
    """Return the doses of a household that are still open, all eaten by the first plot's eaters."""
    wants = []
    for place, plot in enumerate(home.plots):
        walked = walk(plot)
        for number, due in walked.falls.items():
            measures = int(walked.litres[number] * MEASURES_IN_A_LITRE)
            if number in plot.given or walked.closes[number] < home.today or not measures:
                continue
            wants.append(
                Want(
                    plot=place,
                    dose=number,
                    due=due,
                    pour=max(due, home.today),
                    planted=plot.planted,
                    measures=measures,
                    eaters=home.plots[0].eaters,
                )
            )
    return wants


def measures(litres: float) -> float:
    return round(litres * MEASURES_IN_A_LITRE, 5)


def whole_litres(litres: float) -> float:
    return floor(litres + LITRE_NOISE)


@pytest.mark.slow
@pytest.mark.parametrize("first_seed", range(0, HOUSEHOLDS, BLOCK))
def test_with_one_kind_of_eater_first_come_is_first_served(first_seed: int) -> None:
    for seed in range(first_seed, first_seed + BLOCK):
        home = household(seed)
        wants = wants_of(home)

        found = allotted(home.cans, wants, home.store_c)

        assert {
            dose: (
                measures(sum(draw.litres for draw in got.draws if not draw.forecast)),
                measures(sum(draw.litres for draw in got.draws if draw.forecast)),
                measures(got.short_litres),
            )
            for dose, got in found.items()
        } == {
            dose: (served.sealed, served.forecast, served.short)
            for dose, served in serve(home.cans, wants, store_c=home.store_c).items()
        }, seed


@pytest.mark.slow
def test_each_dose_in_turn_gets_the_most_an_exact_solver_finds() -> None:
    first_come_is_not_enough = 0
    for seed in range(MIXED_CASES):
        case = mixed_case(seed)

        found = {dose: got.litres for dose, got in allotted_case(case).items()}

        best = most_in_turn(case, rounded=float)
        assert found == pytest.approx(best, abs=LITRE_NOISE), seed
        poured = serve(case.cans, case.wants, store_c=case.store_c)
        first_come_is_not_enough += any(
            best[dose] * MEASURES_IN_A_LITRE > got.sealed + got.forecast + 0.5
            for dose, got in poured.items()
        )
    assert first_come_is_not_enough >= 50, "the cases are too easy to tell anything"


@pytest.mark.slow
def test_what_rounding_leaves_in_the_cans_is_there_for_the_doses_after() -> None:
    for seed in range(ROUNDED_CASES):
        case = mixed_case(seed)

        found = allot(
            [stock_of(can) for can in case.cans],
            map(ask_of, case.wants),
            store_c=case.store_c,
            rounded=whole_litres,
        )

        best = most_in_turn(case, rounded=whole_litres)
        litres = {dose: got.litres for dose, got in found.items()}
        assert litres == pytest.approx(best, abs=LITRE_NOISE), seed


def test_doses_are_served_in_their_turns() -> None:
    for seed in range(MIXED_CASES):
        case = mixed_case(seed)

        assert [*allotted_case(case)] == [(want.plot, want.dose) for want in in_turn(case.wants)]


def test_no_can_gives_more_than_it_holds() -> None:
    for seed in range(MIXED_CASES):
        case = mixed_case(seed)
        drawn = {can.number: 0.0 for can in case.cans}

        for got in allotted_case(case).values():
            for draw in got.draws:
                drawn[draw.can] += draw.litres

        assert all(
            drawn[can.number] <= can.measures / MEASURES_IN_A_LITRE + LITRE_NOISE
            for can in case.cans
        ), seed


def test_no_can_is_poured_before_it_is_ready_for_whoever_eats_the_crop() -> None:
    for seed in range(MIXED_CASES):
        case = mixed_case(seed)
        cans = {can.number: can for can in case.cans}
        wants = {(want.plot, want.dose): want for want in case.wants}

        for dose, got in allotted_case(case).items():
            want = wants[dose]
            assert all(
                may_pour(cans[draw.can], eaters=want.eaters, on=want.pour, store_c=case.store_c)
                for draw in got.draws
            ), seed


def test_no_dose_waits_for_a_can_to_come_while_a_sealed_one_would_do() -> None:
    for seed in range(MIXED_CASES):
        case = mixed_case(seed)
        wants = {(want.plot, want.dose): want for want in case.wants}
        found = allotted_case(case)
        left = {can.number: can.measures / MEASURES_IN_A_LITRE for can in case.cans}
        for draw in (draw for got in found.values() for draw in got.draws):
            left[draw.can] -= draw.litres

        for dose in (dose for dose, got in found.items() if any(d.forecast for d in got.draws)):
            want = wants[dose]
            unused = [
                can.number
                for can in case.cans
                if not can.forecast
                and left[can.number] > LITRE_NOISE
                and may_pour(can, eaters=want.eaters, on=want.pour, store_c=case.store_c)
            ]
            assert unused == [], seed
