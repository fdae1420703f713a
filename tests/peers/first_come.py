"""A second allotment that pours measure by measure; it shares no code with the service.

It is right only where one kind of eater is served: then a can that a dose may use is open to
every later dose too, so nothing is lost by pouring from whichever can is at hand.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

# Days of rest, by who eats the crop: common practice (no source) for the own household; SSWM after
# Tilley et al. for general use; WHO 2006, vol. 4 (from memory) for processed crops and six months.
REST_DAYS = {"own-household": 14, "general": 30, "sold-processed": 30, "sold-any": 183}
LONGER_REST_DAYS = 183
WARM_C = 20  # WHO 2006, vol. 4: six months hold at 20 degrees and above
MEASURES_IN_A_LITRE = 10  # the smallest thing a grower measures is 0.1 L


@dataclass(frozen=True, slots=True, kw_only=True)
class Can:
    """A container sealed, or to be sealed where `forecast`."""

    number: int
    sealed: date
    measures: int
    longer_rest: bool = False
    forecast: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """A dose and the measures it wants; it is poured on `pour`, in its turn by `due`."""

    plot: int
    dose: int
    due: date
    pour: date
    planted: date
    measures: int
    eaters: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Served:
    """The measures that a dose got from cans already sealed and from cans to come."""

    sealed: int
    forecast: int
    short: int


def may_pour(can: Can, *, eaters: str, on: date, store_c: float | None) -> bool:
    """Say whether a can has rested long enough, in a store warm enough, for who eats the crop."""
    rest = LONGER_REST_DAYS if can.longer_rest else REST_DAYS[eaters]
    if rest == LONGER_REST_DAYS and (store_c is None or store_c < WARM_C):
        return False
    return on.toordinal() - can.sealed.toordinal() >= rest


def in_turn(wants: Iterable[Want]) -> list[Want]:
    """Return the doses as they are served: by day, on a day the plot planted last first."""
    days: dict[date, list[Want]] = defaultdict(list)
    for want in wants:
        days[want.due].append(want)
    served: list[Want] = []
    for day in sorted(days):
        youngest_last = sorted(days[day], key=lambda want: (want.planted, -want.plot, -want.dose))
        served += reversed(youngest_last)
    return served


def serve(
    cans: Sequence[Can], wants: Iterable[Want], *, store_c: float | None
) -> Mapping[tuple[int, int], Served]:
    """Return what each dose gets, by plot and dose."""
    left = {can.number: can.measures for can in cans}
    served: dict[tuple[int, int], Served] = {}
    for want in in_turn(wants):
        at_hand = [
            can for can in cans if may_pour(can, eaters=want.eaters, on=want.pour, store_c=store_c)
        ]
        jug: list[Can] = []
        while len(jug) < want.measures:
            full = [can for can in at_hand if left[can.number]]
            sealed_first = [can for can in full if not can.forecast] or full
            if not sealed_first:
                break
            left[sealed_first[0].number] -= 1
            jug.append(sealed_first[0])
        forecast = sum(can.forecast for can in jug)
        served[want.plot, want.dose] = Served(
            sealed=len(jug) - forecast, forecast=forecast, short=want.measures - len(jug)
        )
    return served
