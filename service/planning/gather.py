"""From the board to what the pure planner asks for: one `PhoneFacts` a phone."""

from collections.abc import Sequence
from datetime import date

from service.agronomy.calendar import days_between
from service.agronomy.dosing import pace, plants_on
from service.outbox.lookups import NOTHING_TOLD
from service.planning.allotting import Planned, eaters_of
from service.planning.board import Board, dose_cans, is_transplanted
from service.planning.collect_notices import collecting_notices
from service.planning.crop_notices import crop_notices, emergence_questions
from service.planning.late import last_evening
from service.planning.planner import Job, PhoneFacts
from service.planning.season_facts import figures_of
from service.planning.stock import name_needed
from service.planning.stock_notices import no_can_notices, ready_notices
from service.records.fields import DoseRow, DoseState
from service.records.phones import PhoneBundle

FIRST_TOLD_DAYS = 2  # today's texts and tomorrow's are planned, each for the day after it
LAST_TOLD_DAYS = -6  # a can may become ready for a dose up to the last day of its window


def job_of(board: Board, planned: Planned, dose: DoseRow) -> Job | None:
    """Return what a text about an open dose says, or None where no text may go."""
    bundle = planned.bundle
    cans = dose_cans(board, planned, dose)
    if dose.state is not DoseState.PLANNED or not cans or bundle.plot.letter is None:
        return None
    ready = [on for can in cans if (on := can.ready_for(eaters_of(bundle))) is not None]
    told = board.told.get(dose.id, NOTHING_TOLD)
    plants = plants_on(
        figures_of(bundle).crop,
        bundle.plot.area_m2,
        row_cm=bundle.planting.row_cm,
        plant_cm=bundle.planting.plant_cm,
    )
    measure = pace(
        mix_ml=(dose.urine_l + dose.water_l) * 1000,
        plants=max(1.0, plants),  # a plot for less than one plant still has one
        cup_ml=bundle.household.cup_ml,
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
        cans=tuple(can.number for can in cans)
        if name_needed(board.cans_of(bundle.household.id))
        else (),
        late=min(ready, default=dose.due_on) > dose.due_on,
        late_until=_late_until(planned, dose),
        pace=None if measure is None else {"cups": measure.cups, "plants": measure.plants},
        assumed=planned.plan.emergence_assumed and not is_transplanted(planned),
        texts=told.texts,
        told_days=told.days,
    )


def _late_until(planned: Planned, dose: DoseRow) -> date:
    doses = planned.plan.doses
    mine = [item for item in doses if item.number == dose.number]
    return last_evening(mine[0], doses) if mine else dose.closes_on


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
    own = board.growing_of(ids)
    return PhoneFacts(
        phone_id=phone.phone.id,
        used=frozenset(day for phone_id, day in board.used if phone_id == phone.phone.id),
        jobs=tuple(_jobs(board, phone, own)),
        notices=(
            *emergence_questions(own),
            *no_can_notices(board, own),
            *ready_notices(board, ids, own),
            *collecting_notices(board, own),
            *crop_notices(board, ids, own),
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
