"""The whole association on one day, as planning looks at it."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.withholding import DoseStanding, earliest_harvest_on, last_possible_on
from service.outbox.lookups import Told
from service.planning.allotting import HouseholdStock, Planned
from service.planning.season_facts import figures_of, read_facts
from service.planning.stock import Can
from service.records.fields import DoseRow, DoseState
from service.records.phones import PhoneBundle
from service.records.plantings import PlantingBundle


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The whole association on one day: what every phone's texts and every call follow from."""

    today: date
    phones: tuple[PhoneBundle, ...]
    texted_on: Mapping[int, PhoneBundle]  # by household
    growing: Mapping[int, tuple[Planned, ...]]  # by household
    ended: tuple[PlantingBundle, ...]  # harvested a few days ago
    cans: Mapping[int, tuple[Can, ...]]  # by household
    stock: Mapping[int, HouseholdStock]  # by household
    told: Mapping[int, Told]  # by dose
    used: frozenset[tuple[int, date]]
    waiting: Mapping[int, str]  # by phone: plot letters that an unread text names or may name
    paused: frozenset[int]  # phones whose unread text may be a refusal

    def phone_of(self, household_id: int) -> PhoneBundle | None:
        """Return the first phone on which a household may be texted."""
        return self.texted_on.get(household_id)

    @property
    def plantings(self) -> tuple[Planned, ...]:
        """Every open planting."""
        return tuple(planned for own in self.growing.values() for planned in own)

    def growing_of(self, households: Iterable[int]) -> list[Planned]:
        """Return the open plantings of some households."""
        return [planned for home in sorted(households) for planned in self.growing.get(home, ())]

    def cans_of(self, household_id: int) -> tuple[Can, ...]:
        """Return a household's containers."""
        return self.cans.get(household_id, ())


def phones_by_household(phones: Sequence[PhoneBundle]) -> dict[int, PhoneBundle]:
    """Return, by household, the first phone on which it may be texted."""
    found: dict[int, PhoneBundle] = {}
    for phone in phones:
        for household_id in phone.consenting():
            found.setdefault(household_id, phone)
    return found


def by_household(plantings: Iterable[Planned]) -> dict[int, list[Planned]]:
    """Return plantings by their household, each in the order given."""
    own: dict[int, list[Planned]] = defaultdict(list)
    for planned in plantings:
        own[planned.bundle.household.id].append(planned)
    return own


def is_transplanted(planned: Planned) -> bool:
    """Say whether the season counts from transplanting, so that nothing has to come up."""
    chosen, crop = planned.bundle.planting.transplanted, figures_of(planned.bundle).crop
    return crop.perennial or (crop.transplanted if chosen is None else chosen)


def dose_cans(board: Board, planned: Planned, dose: DoseRow) -> tuple[Can, ...]:
    """Return the containers, sealed and ready in time, that a dose is to be taken from."""
    household_id = planned.bundle.household.id
    stock = board.stock.get(household_id)
    got = stock.allotted.get((dose.planting_id, dose.number)) if stock else None
    if got is None:
        return ()
    by_id = {can.container_id: can for can in board.cans_of(household_id)}
    return tuple(by_id[draw.can] for draw in got.draws if not draw.forecast)


def harvest_from(planned: Planned, today: date) -> date | None:
    """Return the earliest safe harvest by what is known today; None while no dose has counted."""
    standings = [
        DoseStanding(
            number=dose.number,
            due_on=dose.due_on,
            closes_on=dose.closes_on,
            given_on=read_facts(planned.bundle).given.get(dose.number),
            known_not_done=dose.state in (DoseState.NOT_DONE, DoseState.DROPPED),
        )
        for dose in planned.bundle.doses
    ]
    return earliest_harvest_on(last_possible_on(standings, today))
