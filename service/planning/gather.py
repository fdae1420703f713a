"""From rows to what the pure planner asks for: one `PhoneFacts` a phone."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import MONTH_DAYS, add_days, days_between
from service.agronomy.crops import crop
from service.agronomy.dosing import pace, plants_on
from service.agronomy.season import SeasonPlan
from service.agronomy.withholding import DoseStanding, earliest_harvest_on, last_possible_on
from service.outbox.lookups import NOTHING_TOLD, Told
from service.planning.planner import Job, Notice, PhoneFacts
from service.planning.season_facts import read_facts
from service.planning.stock import Can, CanState, name_needed, ready_can
from service.records.fields import DoseRow, DoseState
from service.records.phones import PhoneBundle
from service.records.plantings import PlantingBundle

FIRST_TOLD_DAYS = 2  # today's texts and tomorrow's are planned, each for the day after it
LAST_TOLD_DAYS = -1  # yesterday's dose is repeated this evening
NOTICE_KEPT_DAYS = 7  # a notice that found no free evening by then says nothing new


@dataclass(frozen=True, slots=True, kw_only=True)
class Planned:
    """An open planting with the plan computed from it."""

    bundle: PlantingBundle
    plan: SeasonPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The whole association on one day: what every phone's texts and every call follow from."""

    today: date
    phones: tuple[PhoneBundle, ...]
    texted_on: Mapping[int, PhoneBundle]  # by household
    plantings: tuple[Planned, ...]
    cans: Mapping[int, tuple[Can, ...]]  # by household
    told: Mapping[int, Told]  # by dose
    used: frozenset[tuple[int, date]]
    waiting: Mapping[int, str]  # by phone: plot letters that an unread text names or may name
    paused: frozenset[int]  # phones whose unread text may be a refusal

    def phone_of(self, household_id: int) -> PhoneBundle | None:
        """Return the first phone on which a household may be texted."""
        return self.texted_on.get(household_id)

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


def is_transplanted(planned: Planned) -> bool:
    """Say whether the season counts from transplanting, so that nothing has to come up."""
    chosen = planned.bundle.planting.transplanted
    return crop(planned.bundle.planting.crop).transplanted if chosen is None else chosen


def dose_can(board: Board, planned: Planned, dose: DoseRow) -> Can | None:
    """Return the container that a dose can be taken from on its day, if any."""
    return ready_can(board.cans_of(planned.bundle.household.id), on=dose.due_on)


def job_of(board: Board, planned: Planned, dose: DoseRow) -> Job | None:
    """Return what a text about an open dose says, or None where no text may go."""
    bundle = planned.bundle
    can = dose_can(board, planned, dose)
    if dose.state is not DoseState.PLANNED or can is None or bundle.plot.letter is None:
        return None
    told = board.told.get(dose.id, NOTHING_TOLD)
    plants = plants_on(
        crop(bundle.planting.crop),
        bundle.plot.area_m2,
        row_cm=bundle.planting.row_cm,
        plant_cm=bundle.planting.plant_cm,
    )
    measure = pace(
        mix_ml=(dose.urine_l + dose.water_l) * 1000, plants=plants, cup_ml=bundle.household.cup_ml
    )
    return Job(
        dose_id=dose.id,
        household_id=bundle.household.id,
        planting_id=bundle.planting.id,
        number=dose.number,
        code=f"{bundle.plot.letter}{dose.number}",
        letter=bundle.plot.letter,
        label=bundle.household.label,
        crop=bundle.planting.crop,
        due_on=dose.due_on,
        closes_on=dose.closes_on,
        urine_l=dose.urine_l,
        water_l=dose.water_l,
        revision=dose.revision,
        can=can.number if name_needed(board.cans_of(bundle.household.id)) else None,
        pace=None if measure is None else {"cups": measure.cups, "plants": measure.plants},
        assumed=planned.plan.emergence_assumed and not is_transplanted(planned),
        texts=told.texts,
        told_days=told.days,
    )


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


def phone_facts(board: Board, phone: PhoneBundle) -> PhoneFacts | None:
    """Return what decides a phone's texts, or None where nothing may be sent to it."""
    served = [
        household
        for household in phone.households
        if board.phone_of(household.id) is phone and not household.needs_call
    ]
    if not served or phone.phone.id in board.paused:
        return None
    ids = {household.id for household in served}
    own = [planned for planned in board.plantings if planned.bundle.household.id in ids]
    return PhoneFacts(
        phone_id=phone.phone.id,
        used=frozenset(day for phone_id, day in board.used if phone_id == phone.phone.id),
        jobs=tuple(_jobs(board, phone, own)),
        notices=(
            *_questions(own),
            *_ready_notices(board, phone, ids, own),
            *_harvest_notices(board, own),
        ),
    )


def _jobs(board: Board, phone: PhoneBundle, own: Sequence[Planned]) -> list[Job]:
    waiting = board.waiting.get(phone.phone.id, "")
    found: list[Job] = []
    for planned in own:
        if planned.bundle.plot.letter is None or planned.bundle.plot.letter in waiting:
            continue
        jobs = (
            job_of(board, planned, dose)
            for dose in planned.bundle.doses
            if LAST_TOLD_DAYS <= days_between(board.today, dose.due_on) <= FIRST_TOLD_DAYS
        )
        found.extend(job for job in jobs if job is not None)
    return found


def _questions(own: Sequence[Planned]) -> list[Notice]:
    return [
        Notice(
            kind="emerge_q",
            key=f"emerge_q:{planned.bundle.planting.id}",
            first_on=planned.plan.emergence_on,
            last_on=add_days(planned.plan.emergence_on, NOTICE_KEPT_DAYS - 1),
            fields={
                "plot": planned.bundle.plot.letter,
                "crop": planned.bundle.planting.crop,
                "planting_id": planned.bundle.planting.id,
            },
        )
        for planned in own
        if planned.plan.emergence_assumed
        and not is_transplanted(planned)
        and planned.bundle.plot.letter is not None
    ]


def _ready_notices(
    board: Board, phone: PhoneBundle, ids: set[int], own: Sequence[Planned]
) -> list[Notice]:
    letters: dict[int, list[str]] = defaultdict(list)
    youngest = sorted(own, key=lambda item: read_facts(item.bundle).planted_on, reverse=True)
    for planned in youngest:
        if planned.bundle.plot.letter is not None:
            letters[planned.bundle.household.id].append(planned.bundle.plot.letter)
    return [
        Notice(
            kind="ready",
            key=f"ready:{can.container_id}:{can.sealed_on}",
            first_on=can.ready_on,
            last_on=add_days(can.ready_on, NOTICE_KEPT_DAYS - 1),
            fields={
                "n": can.number,
                "wait": days_between(can.sealed_on, can.ready_on),
                "order": list(letters[household.id]),
            },
        )
        for household in phone.households
        if household.id in ids and letters[household.id]
        for can in board.cans_of(household.id)
        if can.sealed_on is not None
        and can.ready_on is not None
        and can.state in (CanState.RESTING, CanState.READY)
    ]


def _harvest_notices(board: Board, own: Sequence[Planned]) -> list[Notice]:
    found = []
    for planned in own:
        letter = planned.bundle.plot.letter
        safe_on = harvest_from(planned, board.today)
        still_open = any(dose.state is DoseState.PLANNED for dose in planned.bundle.doses)
        if letter is None or safe_on is None or still_open:
            continue
        first_on = max(safe_on, planned.plan.first_harvest_on)
        last_dose_on = add_days(safe_on, -MONTH_DAYS)
        found.append(
            Notice(
                kind="harvest_ok",
                key=f"harvest_ok:{planned.bundle.planting.id}",
                first_on=first_on,
                last_on=add_days(first_on, NOTICE_KEPT_DAYS - 1),
                fields={
                    "plot": letter,
                    "crop": planned.bundle.planting.crop,
                    "wait": days_between(last_dose_on, first_on),
                },
            )
        )
    return found
