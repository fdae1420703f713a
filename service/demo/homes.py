"""The invented homes as they are on a day: what they have, and what they have been told."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days
from service.agronomy.crops import crop
from service.agronomy.dose_days import DropReason
from service.demo.behaviour import Behaviour, Growers
from service.demo.refills import full_again
from service.planning.allotting import Planned
from service.planning.board import Board, harvest_from, is_transplanted
from service.planning.cans import stores_now
from service.planning.season_facts import read_facts
from service.records.dose_evenings import evenings_told
from service.records.engine import Session
from service.records.fields import DoseRow, DoseState, FactKind
from service.records.season_report import days_left, doses_told_by_call

APPLIES = {"all": 1.0, "most": 0.8, "some": 0.5}
NEVER = date.max


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """A planting, and the truth about it that only the grower knows.

    `up_on` is `NEVER` for seed that does not come up.
    """

    planned: Planned
    letter: str
    sown_on: date
    up_on: date
    told: dict[int, date]  # dose number to the day the home pours it, by what it was told last
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
    full_cans: tuple[int, ...]  # filled again, and not yet sealed
    growers: Growers

    def applied(self, field: Field, number: int, on: date) -> bool:
        """Say whether the home really pours a dose on the day it was told for."""
        if number > 1 and on < field.up_on and not is_transplanted(field.planned):
            return False
        share = APPLIES[self.behaviour.applies]
        return self.growers.chance("apply", self.code, field.letter, number) < share


@dataclass(frozen=True, slots=True, kw_only=True)
class _News:
    """What homes were told, by dose: in texts the evening by the day, in calls the day."""

    told: Mapping[int, Mapping[date, date]]
    called: Mapping[int, date]


def homes_on(
    session: Session, association_id: int, growers: Growers, *, board: Board
) -> tuple[Home, ...]:
    """Return every home that has an open planting, by code."""
    news = _News(
        told=evenings_told(session, association_id),
        called=doses_told_by_call(session, association_id),
    )
    invited = days_left(session, association_id, kind="consent")
    plantings: dict[int, list[Planned]] = defaultdict(list)
    for planned in board.plantings:
        plantings[planned.bundle.household.id].append(planned)
    refilling = [
        household_id
        for household_id, own in plantings.items()
        if growers.of(own[0].bundle.household.code).refills
    ]
    stores = stores_now(session, association_id, today=board.today, households=refilling)
    found: list[Home] = []
    for household_id, own in plantings.items():
        household = own[0].bundle.household
        phone = next(
            (
                item
                for item in board.phones
                if household_id in {served.id for served in item.households}
            ),
            None,
        )
        full = full_again(stores[household_id], own, board.today) if household_id in stores else ()
        found.append(
            Home(
                household_id=household_id,
                code=household.code,
                language=household.language
                if phone is None or not phone.shared
                else phone.phone.language,
                number=None if phone is None else phone.phone.number,
                owns_phone=phone is not None and phone.households[0].id == household_id,
                consenting=phone is not None and household_id in phone.consenting(),
                invited_on=None if phone is None else invited.get(phone.phone.id),
                behaviour=growers.of(household.code),
                fields=tuple(_field(planned, growers, news) for planned in own),
                full_cans=full,
                growers=growers,
            )
        )
    return tuple(sorted(found, key=lambda home: home.code))


def _field(planned: Planned, growers: Growers, news: _News) -> Field:
    bundle, behaviour = planned.bundle, growers.of(planned.bundle.household.code)
    resown_on = read_facts(bundle).resown_on
    sown_on = resown_on or add_days(_meant_on(planned), behaviour.sows_late_days)
    usual_days, up_after = crop(bundle.planting.crop).emergence_days, behaviour.emerges_after_days
    fails = behaviour.comes_up == "once-resown" and resown_on is None
    return Field(
        planned=planned,
        letter=bundle.plot.letter or "-",
        sown_on=sown_on,
        up_on=NEVER if fails else add_days(sown_on, usual_days if up_after is None else up_after),
        told={
            dose.number: add_days(_told_for(news.told[dose.id]), behaviour.pours_after_days)
            for dose in bundle.doses
            if dose.id in news.told and not _is_taken_back(dose, news.told[dose.id])
        },
        by_call={
            dose.number: news.called[dose.id] for dose in bundle.doses if dose.id in news.called
        },
    )


def _told_for(told: Mapping[date, date]) -> date:
    """Return the day that the last text was for: a late one comes on an evening, for the next."""
    due_on = max(told)
    return max(due_on, add_days(told[due_on], 1))


def _is_taken_back(dose: DoseRow, told: Mapping[date, date]) -> bool:
    """Say whether the home was told to wait, or to leave out what it was told before."""
    match dose.state:
        case DoseState.PLANNED:
            return dose.due_on > max(told)
        case DoseState.DROPPED:
            return True
        case _:
            return False


def _meant_on(planned: Planned) -> date:
    put_off = [fact.on for fact in planned.bundle.facts if fact.kind is FactKind.PUT_OFF]
    return put_off[-1] if put_off else planned.bundle.planting.planted_on


def safe_day(field: Field, today: date) -> date | None:
    """Return the planting's first safe harvest day once no dose is to come."""
    if any(dose.state is DoseState.PLANNED for dose in field.doses()):
        return None
    return harvest_from(field.planned, today)


def late_number(home: Home, field: Field) -> int | None:
    """Return the dose that a home pours although the cut-off took it out, if it does so."""
    if not home.behaviour.pours_late:
        return None
    late = [
        dose.number for dose in field.planned.plan.dropped if dose.reason is DropReason.AFTER_CUTOFF
    ]
    return late[0] if late else None
