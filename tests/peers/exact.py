"""The most that each dose can get, by an exact solver (scipy's HiGHS)."""

from collections.abc import Callable, Mapping, Sequence
from itertools import product

import numpy as np
from scipy.optimize import linprog

from tests.peers.first_come import MEASURES_IN_A_LITRE, in_turn, may_pour
from tests.peers.mixed_cases import MixedCase

_NOISE = 1e-6


def most_in_turn(
    case: MixedCase, *, rounded: Callable[[float], float]
) -> Mapping[tuple[int, int], float]:
    """Return the litres of each dose in its turn, while all before it keep what they got.

    A dose that cannot have all that it wants gets the rounded part of the most.
    """
    turns = in_turn(case.wants)
    pairs = [
        (row, column)
        for (row, want), (column, can) in product(enumerate(turns), enumerate(case.cans))
        if may_pour(can, eaters=want.eaters, on=want.pour, store_c=case.store_c)
    ]
    held = [can.measures / MEASURES_IN_A_LITRE for can in case.cans]
    kept: list[float] = []
    for want in turns:
        wanted = want.measures / MEASURES_IN_A_LITRE
        most = _most(pairs, held, [*kept, wanted])
        kept.append(wanted if wanted - most <= _NOISE else rounded(most))
    return {(want.plot, want.dose): litres for want, litres in zip(turns, kept, strict=True)}


def _most(
    pairs: Sequence[tuple[int, int]], held: Sequence[float], litres: Sequence[float]
) -> float:
    """Return the most of the last of the litres, while the cans still give all those before."""
    last = len(litres) - 1
    used = [pair for pair in pairs if pair[0] <= last]
    if not any(dose == last for dose, _ in used):
        return 0.0
    by_dose = np.array([[dose == row for dose, _ in used] for row in range(len(litres))], float)
    by_can = np.array([[can == row for _, can in used] for row in range(len(held))], float)
    best = linprog(
        -by_dose[last],
        A_ub=np.vstack([by_can, by_dose[last]]),
        b_ub=[*held, litres[last]],
        A_eq=by_dose[:last] if last else None,
        b_eq=litres[:last] if last else None,
        method="highs",
    )
    if best.fun is None:
        raise RuntimeError(f"The solver found nothing: {best.message}")
    return -best.fun
