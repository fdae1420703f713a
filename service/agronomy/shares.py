"""A season's litres shared over its doses."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

_NOISE = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Shares:
    """Litres by dose number; `too_few` says that the cap, not rounding, left litres over."""

    litres: Mapping[int, float]
    shortfall_litres: float
    too_few: bool


def share_out(
    season_litres: float,
    *,
    numbers: Sequence[int],
    told: Mapping[int, float],
    cap: float,
    rounded: Callable[[float], float],
) -> Shares:
    """Return equal shares of what is not told yet, none above the cap.

    Args:
        season_litres: the season's target for the whole plot.
        numbers: the doses of the plan, in their order.
        told: litres that no longer change; those of doses outside the plan are free again.
        cap: the most that one dose may hold, in litres.
        rounded: rounds a share down; what it takes off goes to the doses after it.
    """
    litres = {number: told[number] for number in numbers if number in told}
    free = [number for number in numbers if number not in told]
    rest = max(0.0, season_litres - _total(litres.values()))
    remaining = rest
    for place, number in enumerate(free):
        litres[number] = rounded(min(cap, remaining / (len(free) - place)))
        remaining = max(0.0, remaining - litres[number])
    return Shares(
        litres=litres,
        shortfall_litres=max(0.0, season_litres - _total(litres.values())),
        too_few=rest - cap * len(free) > _NOISE * season_litres,
    )


def _total(litres: Iterable[float]) -> float:
    return sum(litres, start=0.0)
