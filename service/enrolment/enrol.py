"""A whole household at once: everything that was told is checked first, then saved together."""

from dataclasses import dataclass

from service.confirmations.outcomes import Desk
from service.enrolment.cans import check_can, save_can
from service.enrolment.consent import check_consent, save_consent
from service.enrolment.entries import Enrolment
from service.enrolment.faults import Fault, FaultCode, Faults
from service.enrolment.ground import Area
from service.enrolment.people import Register, Values, check_household, save_household
from service.enrolment.phones import Dialled, check_phone, save_phone
from service.enrolment.planting_facts import Ground, check_planting
from service.enrolment.plantings import save_planting, spans_in
from service.enrolment.plots import check_plot, save_plot
from service.enrolment.results import ConsentOutcome, Enrolled, PhoneAdded, PlantingAdded, PlotAdded
from service.enrolment.rules import Rules
from service.enrolment.standing import missing_of
from service.records.enrolment import lock_association, plot_by_id
from service.records.phones import phone_by_id


@dataclass(frozen=True, slots=True, kw_only=True)
class _Checked:
    household: Values
    dialled: Dialled | None
    area: Area | None


def enrol(desk: Desk, entry: Enrolment, rules: Rules) -> Enrolled | Faults:
    """Save a household with all that is known of it, in the caller's transaction.

    Nothing but the alias and the area must be known. Where anything told is wrong, everything
    that is wrong comes back and nothing is saved. A new planting is planned at once.
    """
    checked = _check(desk, entry, rules)
    if isinstance(checked, Faults):
        return checked
    household = save_household(desk, checked.household)
    phone = None if checked.dialled is None else save_phone(desk, household, checked.dialled)
    consent = None if phone is None else _consent(desk, household.id, phone, entry)
    plot = None
    if entry.plot is not None and checked.area is not None:
        plot = save_plot(desk, household.id, entry.plot, checked.area)
    # before the planting, since its plan asks what will be ready
    can = None if entry.can is None else save_can(desk, household.id, entry.can)
    planting = None if plot is None else _planting(desk, plot, entry)
    return Enrolled(
        household_id=household.id,
        code=household.code,
        label=household.label,
        phone=phone,
        consent=consent,
        plot=plot,
        planting=planting,
        can=can,
        missing=missing_of(desk, household.id),
    )


def _check(desk: Desk, entry: Enrolment, rules: Rules) -> _Checked | Faults:
    association = lock_association(desk.session, desk.association_id)
    register = Register(association=association, rules=rules)
    faults: list[Fault] = []
    household = check_household(desk, entry.household, register)
    if isinstance(household, tuple):
        faults += household
    dialled = None if entry.phone is None else check_phone(desk, entry.phone, register)
    if isinstance(dialled, tuple):
        faults += dialled
    faults += _consent_faults(desk, entry)
    area = None if entry.plot is None else check_plot(entry.plot)
    if isinstance(area, tuple):
        faults += area
    faults += _planting_faults(desk, entry, area if isinstance(area, Area) else None)
    if entry.can is not None:
        sharing = dialled.households if isinstance(dialled, Dialled) else frozenset()
        faults += check_can(desk, entry.can, sharing=sharing)
    if faults or isinstance(household, tuple) or isinstance(dialled, tuple):
        return Faults(faults=tuple(faults))
    return _Checked(
        household=household, dialled=dialled, area=area if isinstance(area, Area) else None
    )


def _consent_faults(desk: Desk, entry: Enrolment) -> tuple[Fault, ...]:
    if entry.consent is None:
        return ()
    faults = check_consent(entry.consent, today=desk.today)
    if entry.phone is None:
        return (Fault(field="number", code=FaultCode.NEEDS_PHONE), *faults)
    return faults


def _planting_faults(desk: Desk, entry: Enrolment, area: Area | None) -> tuple[Fault, ...]:
    if entry.planting is None:
        return ()
    if entry.plot is None:
        return (Fault(field="ground", code=FaultCode.NEEDS_PLOT),)
    return check_planting(
        entry.planting,
        ground=Ground(
            # while the ground itself is wrong, the crop is held against the least of it
            area_m2=1 if area is None else area.m2,
            soil=entry.plot.soil,
            spans=spans_in(desk, entry.household.area_id),
        ),
        today=desk.today,
    )


def _consent(
    desk: Desk, household_id: int, phone: PhoneAdded, entry: Enrolment
) -> ConsentOutcome | None:
    if entry.consent is None:
        return None
    bundle = phone_by_id(desk.session, desk.association_id, phone.phone_id)
    outcome = save_consent(desk, household_id, bundle, entry.consent)
    if isinstance(outcome, Fault):
        raise TypeError("a new household has said nothing before")
    return outcome


def _planting(desk: Desk, plot: PlotAdded, entry: Enrolment) -> PlantingAdded | None:
    if entry.planting is None:
        return None
    row = plot_by_id(desk.session, desk.association_id, plot.plot_id)
    return save_planting(desk, row, entry.planting)
