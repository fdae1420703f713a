"""Made-up households, one for each seed, in which odd things meet more often than in life."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from tests.peers.crop_days import CROPS
from tests.peers.day_by_day import PATTERN_DAYS, Plot
from tests.peers.dice import Dice
from tests.peers.first_come import MEASURES_IN_A_LITRE, REST_DAYS, Can

_FIRST_DAY = date(2027, 1, 1)
_SHARES = (Fraction(2, 3), Fraction(2, 3), Fraction(7, 10), Fraction(17, 24), Fraction(3, 4))
_LITRES_PER_M2 = (0.5, 1.5, 1.5, 1.5, 2.25, 3.0, 3.1, 6.0)
_CAN_LITRES = (5, 10, 20, 20, 25, 60)
_STORES_C = (None, None, 12.0, 19.9, 20.0, 26.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class Household:
    """One to five plots, their cans, the store's mean temperature, and the day it is."""

    plots: tuple[Plot, ...]
    cans: tuple[Can, ...]
    store_c: float | None
    today: date


def household(seed: int) -> Household:
    """Return the household of a seed."""
    dice = Dice(seed)
    start = later(_FIRST_DAY, dice.between(0, 500))
    held = _holds(dice, start)
    today = later(start, dice.between(-20, 130))
    return Household(
        plots=tuple(_plot(dice, start, held) for _ in range(dice.between(1, 5))),
        cans=tuple(_can(dice, number, today) for number in range(1, 1 + dice.between(0, 8))),
        store_c=dice.pick(_STORES_C),
        today=today,
    )


def later(day: date, days: int) -> date:
    """Return the day so many days on."""
    return date.fromordinal(day.toordinal() + days)


def _plot(dice: Dice, start: date, held: tuple[tuple[date, date], ...]) -> Plot:
    name = dice.pick(tuple(CROPS))
    crop = CROPS[name]
    planted = later(start, dice.between(0, 60))
    emerged = None
    if dice.happens(60):
        emerged = later(planted, dice.pick((crop.emergence, dice.between(0, 45))))
    if dice.happens(3):
        emerged = later(planted, -dice.between(1, 9))
    up = max(planted, emerged or later(planted, crop.emergence))
    usual = {1: planted, **{number: later(up, days) for number, days in PATTERN_DAYS.items()}}
    given, missed = _reported(dice, usual)
    area = dice.between(1, dice.pick((12, 12, 60, 10_000)))
    litres_per_m2 = dice.pick(_LITRES_PER_M2)
    told = {
        number: area * litres_per_m2 / 7 * dice.between(30, 170) / 100
        for number in usual
        if dice.happens(70 if number in given or number in missed else 8)
    }
    rain_on = later(planted, dice.between(-3, 90))
    season = crop.season + dice.between(-40, 40) if dice.happens(30) else None
    return Plot(
        crop=name,
        planted=planted,
        area_m2=area,
        litres_per_m2=litres_per_m2,
        soil=dice.pick(("normal", "normal", "salty", "dry")),
        eaters=dice.pick(tuple(REST_DAYS)),
        emerged=emerged,
        first_harvest=later(planted, dice.between(15, 170)) if dice.happens(35) else None,
        season_days=season,
        fraction=dice.pick(_SHARES),
        transplanted=dice.pick((None, None, True, False)),
        given=given,
        missed=missed,
        not_done=frozenset(number for number in missed if dice.happens(50)),
        told=told,
        not_ready=frozenset(number for number in usual if dice.happens(6)),
        holds=(*held, (rain_on, later(rain_on, 1))) if dice.happens(40) else held,
    )


def _reported(
    dice: Dice, usual: Mapping[int, date]
) -> tuple[Mapping[int, date], Mapping[int, date]]:
    given: dict[int, date] = {}
    missed: dict[int, date] = {}
    for number in range(1, 1 + dice.between(0, 7)):
        if dice.happens(55):
            given[number] = later(usual[number], dice.pick((0, 0, dice.between(-6, 9))))
        elif dice.happens(50):
            missed[number] = later(usual[number], dice.pick((0, dice.between(0, 4))))
    if dice.happens(25):  # out of turn: a dose's day is told for another number
        number, other = dice.between(1, 7), dice.between(1, 7)
        given[number] = later(usual[other], dice.between(-3, 6))
    if dice.happens(4):  # long after its day
        number = dice.between(1, 7)
        given[number] = later(usual[number], dice.between(30, 120))
    return given, {number: on for number, on in missed.items() if number not in given}


def _holds(dice: Dice, start: date) -> tuple[tuple[date, date], ...]:
    holds: list[tuple[date, date]] = []
    for _ in range(dice.pick((0, 1, 1, 2, 3))):
        first = later(start, dice.between(-5, 130))
        holds.append((first, later(first, dice.between(0, 12))))
        if dice.happens(40):
            again = later(first, dice.between(0, 13))  # inside it, touching it, or just after
            holds.append((again, later(again, dice.between(0, 8))))
    return tuple(reversed(holds))


def _can(dice: Dice, number: int, today: date) -> Can:
    forecast = dice.happens(30)
    return Can(
        number=number,
        sealed=later(today, dice.between(1, 60) if forecast else -dice.between(0, 260)),
        measures=dice.pick(_CAN_LITRES) * MEASURES_IN_A_LITRE,
        longer_rest=dice.happens(20),
        forecast=forecast,
    )
