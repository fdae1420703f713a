"""Texts that wait to be read, each with what it may mean, in a fixed number of looks.

A text is judged as on the day it came: which doses were open then, counted back from then. What
is on record by now counts too, so that nothing is offered that a report would be refused for.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.crops import crop
from service.agronomy.regimes import container_ready
from service.confirmations.cans import BACK_DAYS as SEALED_BACK_DAYS
from service.confirmations.doses import BACK_DAYS, EARLY_DAYS
from service.inbound.possible import possible_readings
from service.inbound.reply_codes import Item, Meaning, Reading
from service.inbound.situation import Ground, Situation, situation_on, unknown_situation
from service.outbox.lookups import keys_left
from service.planning.drafts import language_of
from service.planning.season_facts import read_facts
from service.planning.send_window import local_day, zone_of
from service.planning.stock import stores
from service.records.containers import ContainerBundle, containers
from service.records.dose_uses import DoseUse, dose_uses
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.locality_book import LocalityBook, locality_book
from service.records.people import AssociationRow
from service.records.phones import PhoneBundle, phone_ids_of, phones_by_ids
from service.records.plantings import PlantingBundle, open_plantings
from service.records.traffic import InboundRow


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingText:
    """A text, who wrote it (None: nobody enrolled), and what it may mean, likeliest first."""

    row: InboundRow
    phone: PhoneBundle | None
    situation: Situation
    readings: tuple[Reading, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Records:
    """What the records hold of all who wrote."""

    association: AssociationRow
    plantings: Sequence[PlantingBundle]
    cans: Sequence[ContainerBundle]
    uses: Sequence[DoseUse]
    book: LocalityBook
    asked: Collection[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judge:
    """Refuses what a report would be refused for."""

    situation: Situation
    cans: Mapping[int, ContainerBundle]
    book: LocalityBook

    def refuses(self, reading: Reading) -> bool:
        return any(self._refuses(reading.meaning, item) for item in reading.items)

    def _refuses(self, meaning: Meaning, item: Item) -> bool:
        on = add_days(self.situation.context.received_on, -item.days_ago)
        if meaning is Meaning.SEALED:
            return self._refuses_sealed(item.can or 0, on)
        planted = self.situation.plantings[item.plot or ""]
        match meaning:
            case Meaning.DONE:
                return item.days_ago > BACK_DAYS or _cannot_be_given(planted, item.dose or 0, on)
            case Meaning.SOWN:
                return _cannot_be_sown(planted, on)
            case Meaning.UP:
                after_days = days_between(read_facts(planted).planted_on, on)
                return after_days * 2 < crop(planted.planting.crop).emergence_days
            case Meaning.RAIN:
                held = any(hold.first_on <= on <= hold.last_on for hold in planted.holds)
                return held or not any(dose.state is DoseState.PLANNED for dose in planted.doses)
            case _:
                return False

    def _refuses_sealed(self, number: int, on: date) -> bool:
        can = self.cans[number]
        ready = container_ready(
            on,
            regime=can.regime,
            longer_rest=can.container.longer_rest,
            store_c=self.book.store_c.get(can.area_id),
        )
        too_long_ago = days_between(on, self.situation.context.received_on) > SEALED_BACK_DAYS
        return too_long_ago or ready.ready_on is None or any(item.on > on for item in can.events)


def waiting_texts(
    session: Session, row: AssociationRow, texts: Sequence[InboundRow]
) -> list[WaitingText]:
    """Return texts of an association in the order given, with what each may mean."""
    wrote = phones_by_ids(
        session, row.id, {text.phone_id for text in texts if text.phone_id is not None}
    )
    homes = {household.id for phone in wrote.values() for household in phone.households}
    ground = _Records(
        association=row,
        plantings=open_plantings(session, row.id, households=homes),
        cans=containers(session, row.id, households=homes),
        uses=dose_uses(session, row.id, households=homes),
        book=locality_book(session, row.id),
        asked=keys_left(
            session, row.id, ("emerge_q",), phones=phone_ids_of(session, row.id, homes)
        ),
    )
    return [_waiting(ground, text, wrote.get(text.phone_id or 0)) for text in texts]


def _waiting(ground: _Records, text: InboundRow, phone: PhoneBundle | None) -> WaitingText:
    if phone is None:
        unknown = unknown_situation(ground.association, sender=None, now=text.received_at)
        return WaitingText(row=text, phone=None, situation=unknown, readings=())
    homes = {household.id for household in phone.households}
    today = local_day(text.received_at, zone_of(ground.association.zone))
    cans = {can.container.number: can for can in ground.cans if can.container.household_id in homes}
    own = stores(list(cans.values()), ground.uses, book=ground.book, today=today)
    standing = Ground(
        plantings=ground.plantings,
        cans=[can for store in own.values() for can in store.cans],
        asked=ground.asked,
    )
    situation = situation_on(standing, phone, language=language_of(phone), today=today)
    # a person chooses, so a word that only a machine could not be sure of is offered all the same
    situation = replace(situation, context=replace(situation.context, shared=phone.shared))
    judge = _Judge(situation=situation, cans=cans, book=ground.book)
    return WaitingText(
        row=text,
        phone=phone,
        situation=situation,
        readings=possible_readings(text.text, situation.context, refuses=judge.refuses),
    )


def _cannot_be_given(planted: PlantingBundle, number: int, on: date) -> bool:
    reports = read_facts(planted)
    earlier = [day for given, day in reports.given.items() if given < number]
    due_on = next(dose.due_on for dose in planted.doses if dose.number == number)
    return (
        on < reports.planted_on
        or any(on < day for day in earlier)
        or on < add_days(due_on, -EARLY_DAYS)
    )


def _cannot_be_sown(planted: PlantingBundle, on: date) -> bool:
    reports = read_facts(planted)
    up_before = reports.emerged_on is not None and reports.emerged_on <= on
    return up_before or any(day < on for day in reports.given.values())
