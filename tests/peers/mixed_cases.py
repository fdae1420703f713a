"""Small made-up cases, one for each seed: several kinds of eater want the same few cans."""

from dataclasses import dataclass
from datetime import date

from tests.peers.dice import Dice
from tests.peers.first_come import REST_DAYS, Can, Want
from tests.peers.households import later

TODAY = date(2027, 6, 1)
_DAYS_AHEAD = (2, 20, 60, 200)
_EATERS = ("general", "sold-any", "sold-any", *REST_DAYS)
_STORES_C = (None, 15.0, 20.0, 26.0, 26.0, 26.0, 26.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class MixedCase:
    """A few cans and the doses that want them."""

    cans: tuple[Can, ...]
    wants: tuple[Want, ...]
    store_c: float | None


def mixed_case(seed: int) -> MixedCase:
    """Return the case of a seed; some doses are overdue and poured today."""
    dice = Dice(seed)
    horizon = dice.pick(_DAYS_AHEAD)
    planted = [later(TODAY, -dice.between(0, 40)) for _ in range(4)]
    eaters = [dice.pick(_EATERS) for _ in planted]
    wants: dict[tuple[int, int], Want] = {}
    for _ in range(dice.between(2, 7)):
        plot, dose = dice.between(0, 3), dice.between(1, 7)
        due = later(TODAY, dice.between(-5, horizon))
        wants[plot, dose] = Want(
            plot=plot,
            dose=dose,
            due=due,
            pour=max(due, TODAY),
            planted=planted[plot],
            measures=dice.between(1, 120),
            eaters=eaters[plot],
        )
    return MixedCase(
        cans=tuple(_can(dice, number) for number in range(1, 1 + dice.between(2, 5))),
        wants=tuple(wants.values()),
        store_c=dice.pick(_STORES_C),
    )


def _can(dice: Dice, number: int) -> Can:
    forecast = dice.happens(25)
    rested = dice.pick((dice.between(0, 50), dice.between(30, 60), dice.between(180, 260)))
    return Can(
        number=number,
        sealed=later(TODAY, dice.between(1, 30) if forecast else -rested),
        measures=dice.between(20, 200),
        longer_rest=dice.happens(25),
        forecast=forecast,
    )
