"""The invented homes as they are on a day: what they have, and what they have been told."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, datetime

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.demo.behaviour import Behaviour, Growers
from service.planning.gather import Planned, harvest_from, is_transplanted
from service.planning.tick import board_now
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState
from service.records.season_report import days_left, doses_told_by_call

APPLIES = {"all": 1.0, "most": 0.8, "some": 0.5}


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A planting, and the truth about it that only the grower knows."""

    planned: Planned
    letter: str
    sown_on: date
    up_on: date
    told: dict[int, date]  # dose number to the last day that the home was told for it
    by_call: dict[int, date]

    def doses(self) -> tuple[DoseRow, ...]:
        """Return the planting's doses."""
        return self.planned.bundle.doses


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """A household with its phone, behaviour and fields."""

    household_id: int
    code: str
    language: str
    number: str | None
    owns_phone: bool  # of those who share a phone, the one that answers its invitation
    consenting: bool
    invited_on: date | None
    behaviour: Behaviour
    fields: tuple[Field, ...]
    growers: Growers

    def applied(self, field: Field, number: int, on: date) -> bool:
        """Say whether the home really pours a dose on the day it was told for."""
        if number > 1 and on < field.up_on and not is_transplanted(field.planned):
            return False
        share = APPLIES[self.behaviour.applies]
        return self.growers.chance("apply", self.code, field.letter, number) < share


def homes_on(
    session: Session, association_id: int, growers: Growers, *, now: datetime
) -> tuple[Home, ...]:
    """Return every home that has an open planting, by code."""
    board = board_now(session, association_id, now=now)
    called = doses_told_by_call(session, association_id)
    invited = days_left(session, association_id, kind="consent")
    fields: dict[int, list[Field]] = defaultdict(list)
    for planned in board.plantings:
        household = planned.bundle.household
        behaviour = growers.of(household.code)
        sown_on = add_days(planned.bundle.planting.planted_on, behaviour.sows_late_days)
        usual_days = crop(planned.bundle.planting.crop).emergence_days
        up_after = behaviour.emerges_after_days
        fields[household.id].append(
            Field(
                planned=planned,
                letter=planned.bundle.plot.letter or "-",
                sown_on=sown_on,
                up_on=add_days(sown_on, usual_days if up_after is None else up_after),
                told={
                    dose.number: max(board.told[dose.id].days)
                    for dose in planned.bundle.doses
                    if dose.id in board.told
                },
                by_call={
                    dose.number: called[dose.id]
                    for dose in planned.bundle.doses
                    if dose.id in called
                },
            )
        )
    found: list[Home] = []
    for planned in board.plantings:
        household = planned.bundle.household
        if any(home.household_id == household.id for home in found):
            continue
        phone = next(
            (
                item
                for item in board.phones
                if household.id in {served.id for served in item.households}
            ),
            None,
        )
        found.append(
            Home(
                household_id=household.id,
                code=household.code,
                language=household.language
                if phone is None or not phone.shared
                else phone.phone.language,
                number=None if phone is None else phone.phone.number,
                owns_phone=phone is not None and phone.households[0].id == household.id,
                consenting=phone is not None and household.id in phone.consenting(),
                invited_on=None if phone is None else invited.get(phone.phone.id),
                behaviour=growers.of(household.code),
                fields=tuple(fields[household.id]),
                growers=growers,
            )
        )
    return tuple(sorted(found, key=lambda home: home.code))


def safe_day(field: Field, today: date) -> date | None:
    """Return the planting's first safe harvest day once no dose is to come."""
    if any(dose.state is DoseState.PLANNED for dose in field.doses()):
        return None
    return harvest_from(field.planned, today)
