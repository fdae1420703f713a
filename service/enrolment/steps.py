"""What is added to a household that stands already, each step by itself.

All belongs to the caller's transaction. An id of another association raises NoResultFound.
"""

from service.confirmations.outcomes import Desk
from service.enrolment.cans import check_can, save_can
from service.enrolment.consent import check_consent, save_consent
from service.enrolment.entries import (
    CanEntry,
    ConsentEntry,
    HouseholdEntry,
    PhoneEntry,
    PlantingEntry,
    PlotEntry,
)
from service.enrolment.faults import Fault, FaultCode, Faults
from service.enrolment.ground import Area
from service.enrolment.people import PLANNED_BY, Register, check_household, settle_household
from service.enrolment.phones import Dialled, check_phone, save_phone
from service.enrolment.planting_facts import check_planting
from service.enrolment.plantings import ground_of, save_planting, still_planted
from service.enrolment.plots import check_plot, save_plot
from service.enrolment.replanning import plan_anew
from service.enrolment.results import (
    CanAdded,
    ConsentOutcome,
    HouseholdChanged,
    PhoneAdded,
    PlantingAdded,
    PlotAdded,
)
from service.enrolment.rules import Rules
from service.enrolment.standing import missing_of
from service.records.enrolment import lock_association, neighbours, plot_by_id
from service.records.household_page import household_by_id
from service.records.people import HouseholdRow
from service.records.phones import phone_by_id


def change_household(
    desk: Desk, household_id: int, entry: HouseholdEntry, rules: Rules
) -> HouseholdChanged | Faults:
    """Give a household all values of the entry; a blank code or label stays as it was."""
    register = _register(desk, household_id, rules)
    values = check_household(desk, entry, register)
    if isinstance(values, tuple):
        return Faults(faults=values)
    columns = settle_household(desk, _household(desk, household_id), values)
    if PLANNED_BY & set(columns):
        plan_anew(desk, household_id)
    return HouseholdChanged(
        household_id=household_id, columns=columns, missing=missing_of(desk, household_id)
    )


def add_phone(
    desk: Desk, household_id: int, entry: PhoneEntry, rules: Rules
) -> PhoneAdded | Faults:
    """Let a phone serve the household too."""
    dialled = check_phone(desk, entry, _register(desk, household_id, rules))
    if not isinstance(dialled, Dialled):
        return Faults(faults=dialled)
    return save_phone(desk, _household(desk, household_id), dialled)


def add_consent(
    desk: Desk, household_id: int, phone_id: int, entry: ConsentEntry
) -> ConsentOutcome | Faults:
    """Record what the household said about texts to one of its phones."""
    phone = phone_by_id(desk.session, desk.association_id, phone_id)
    faults = check_consent(entry, today=desk.today)
    if household_id not in {home.id for home in phone.households}:
        faults = (Fault(field="number", code=FaultCode.NEEDS_PHONE), *faults)
    if faults:
        return Faults(faults=faults)
    outcome = save_consent(desk, household_id, phone, entry)
    return Faults(faults=(outcome,)) if isinstance(outcome, Fault) else outcome


def add_plot(desk: Desk, household_id: int, entry: PlotEntry) -> PlotAdded | Faults:
    """Give the household another plot."""
    lock_association(desk.session, desk.association_id)
    household = _household(desk, household_id)
    area = check_plot(entry)
    if not isinstance(area, Area):
        return Faults(faults=area)
    return save_plot(desk, household.id, entry, area)


def add_planting(desk: Desk, plot_id: int, entry: PlantingEntry) -> PlantingAdded | Faults:
    """Plant a plot, or plan to, and plan its doses."""
    lock_association(desk.session, desk.association_id)
    plot = plot_by_id(desk.session, desk.association_id, plot_id)
    checked = check_planting(entry, ground=ground_of(desk, plot), today=desk.today)
    faults = (*still_planted(desk, plot), *checked)
    if faults:
        return Faults(faults=faults)
    return save_planting(desk, plot, entry)


def add_can(desk: Desk, household_id: int, entry: CanEntry) -> CanAdded | Faults:
    """Give the household another container, and plan anew with it."""
    lock_association(desk.session, desk.association_id)
    household = _household(desk, household_id)
    near = neighbours(desk.session, desk.association_id, household.id)
    faults = check_can(desk, entry, sharing=near | {household.id})
    if faults:
        return Faults(faults=faults)
    added = save_can(desk, household.id, entry)
    plan_anew(desk, household.id)
    return added


def _register(desk: Desk, household_id: int, rules: Rules) -> Register:
    association = lock_association(desk.session, desk.association_id)
    return Register(association=association, rules=rules, row=_household(desk, household_id))


def _household(desk: Desk, household_id: int) -> HouseholdRow:
    return household_by_id(desk.session, desk.association_id, household_id).household
