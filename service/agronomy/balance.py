"""Whether a household's urine is enough for its doses, and what to do where it is not. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from service.agronomy.allotment import Allotment, Ask, turn
from service.agronomy.containers import DoseKey


class Suggestion(StrEnum):
    """What to do where urine is short."""

    SERVE_YOUNG = "serve-young"
    HALVE = "halve"
    DROP_LAST = "drop-last"
    COLLECT_MORE = "collect-more"


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """A season's urine against what its doses want.

    Attributes:
        have_litres: what the doses get; `forecast_litres` of it is not sealed yet.
        area_served_m2: the ground on which every dose still to come can be given whole.
        suggestions: what to do, best first; empty only where nothing is short.
    """

    wanted_litres: float
    have_litres: float
    forecast_litres: float
    short_litres: float
    area_m2: float
    area_served_m2: float
    suggestions: tuple[Suggestion, ...]


def household_balance(
    asks: Iterable[Ask],
    allotments: Mapping[DoseKey, Allotment],
    *,
    areas_m2: Mapping[int, float],
) -> Balance:
    """Return how far a household's urine goes, and what to do where it is short.

    A planting's part that is served is the least that any of its doses, together with those
    before it, gets of what they want: urine can be kept for a later dose, never had earlier.

    What is suggested where something is short:
        `serve-young`: more than one planting wants urine, so the youngest can go first;
        `halve`: more than half of all that is wanted is missing;
        `drop-last`: only last doses are short, so that leaving them out closes the gap;
        `collect-more`: always, and last; it may come too late for this season.

    Args:
        asks: the doses still to be given.
        allotments: what each of them gets.
        areas_m2: the ground of each planting, in square metres, by the planting's id.
    """
    plantings: dict[int, list[Ask]] = {}
    for ask in sorted(asks, key=turn):
        plantings.setdefault(ask.dose[0], []).append(ask)
    gets = [allotments[ask.dose] for group in plantings.values() for ask in group]
    wanted = _total(ask.litres for group in plantings.values() for ask in group)
    short = _total(allotment.short_litres for allotment in gets)
    return Balance(
        wanted_litres=wanted,
        have_litres=_total(allotment.litres for allotment in gets),
        forecast_litres=_total(
            draw.litres for allotment in gets for draw in allotment.draws if draw.forecast
        ),
        short_litres=short,
        area_m2=_total(areas_m2[planting] for planting in plantings),
        area_served_m2=_total(
            areas_m2[planting] * _part_served(group, allotments)
            for planting, group in plantings.items()
        ),
        suggestions=_suggestions(plantings, allotments, wanted=wanted, short=short),
    )


def _part_served(group: Sequence[Ask], allotments: Mapping[DoseKey, Allotment]) -> float:
    part, wanted, has = 1.0, 0.0, 0.0
    for ask in group:
        wanted += ask.litres
        has += ask.litres - allotments[ask.dose].short_litres
        if wanted > 0:
            part = min(part, has / wanted)
    return part


def _suggestions(
    plantings: Mapping[int, Sequence[Ask]],
    allotments: Mapping[DoseKey, Allotment],
    *,
    wanted: float,
    short: float,
) -> tuple[Suggestion, ...]:
    def lacks(asks: Iterable[Ask]) -> bool:
        return any(allotments[ask.dose].short_litres > 0 for ask in asks)

    only_last = all(
        len(group) > 1 and not lacks(group[:-1]) for group in plantings.values() if lacks(group)
    )
    applies = {
        Suggestion.SERVE_YOUNG: len(plantings) > 1,
        Suggestion.HALVE: short > wanted / 2,
        Suggestion.DROP_LAST: only_last,
        Suggestion.COLLECT_MORE: True,
    }
    return tuple(each for each, fits in applies.items() if fits) if short > 0 else ()


def _total(litres: Iterable[float]) -> float:
    return sum(litres, start=0.0)
