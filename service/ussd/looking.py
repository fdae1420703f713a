"""What the records hold of the phone that has dialled, as the menu needs it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from service.confirmations.cans import BACK_DAYS as SEALED_BACK_DAYS
from service.confirmations.doses import BACK_DAYS as DONE_BACK_DAYS
from service.inbound.dates import LONGEST_DAYS_AGO
from service.inbound.reply_codes import Meaning
from service.inbound.situation import Ground, Situation, situation_on, unknown_situation
from service.planning.cans import cans_by_household
from service.planning.drafts import language_of
from service.planning.send_window import local_day, zone_of
from service.records.engine import Session
from service.records.people import AssociationRow, HouseholdRow
from service.records.phones import PhoneBundle, phone_by_number
from service.records.plantings import open_plantings
from service.ussd.facts import Facts, Home, Job, Plot, Standing
from service.ussd.texts import MenuTexts, Voice

BACK_DAYS: Mapping[Meaning, int] = {
    Meaning.DONE: DONE_BACK_DAYS,
    Meaning.SEALED: SEALED_BACK_DAYS,
    Meaning.UP: LONGEST_DAYS_AGO,
    Meaning.SOWN: LONGEST_DAYS_AGO,
    Meaning.HARVEST: LONGEST_DAYS_AGO,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Caller:
    """Who has dialled (`phone` None: nobody enrolled), and what a choice is acted on with."""

    association: AssociationRow
    number: str
    phone: PhoneBundle | None
    situation: Situation
    facts: Facts
    voice: Voice


def caller_of(  # noqa: PLR0913 -- the session, the tenant and the time come with every question
    session: Session,
    row: AssociationRow,
    number: str,
    *,
    texts: MenuTexts,
    most: int,
    now: datetime,
) -> Caller:
    """Return who has dialled; `most` is the room of a screen in GSM-7 septets."""
    phone = phone_by_number(session, row.id, number)
    wanted = () if phone is None else (language_of(phone),)
    voice = Voice(words=texts.first_of(*wanted, row.language), most=most)
    if phone is None:
        situation = unknown_situation(row, sender=None, now=now)
    else:
        situation = _situation(session, row, phone, now=now)
    return Caller(
        association=row,
        number=number,
        phone=phone,
        situation=situation,
        facts=_facts(row, phone, situation, voice),
        voice=voice,
    )


def _situation(
    session: Session, row: AssociationRow, phone: PhoneBundle, *, now: datetime
) -> Situation:
    today = local_day(now, zone_of(row.zone))
    homes = {household.id for household in phone.households}
    standing = cans_by_household(session, row.id, today=today, households=homes)
    ground = Ground(
        plantings=open_plantings(session, row.id, households=homes),
        cans=[can for cans in standing.values() for can in cans],
        asked=(),  # a menu answers no question that a text has asked
    )
    return situation_on(ground, phone, language=language_of(phone), today=today)


def _facts(
    row: AssociationRow, phone: PhoneBundle | None, situation: Situation, voice: Voice
) -> Facts:
    today = situation.context.received_on
    if phone is None:
        return Facts(
            standing=Standing.STRANGER,
            group=row.name,
            person=row.phone,
            today=today,
            fits=voice.fits,
        )
    wanted = phone.consenting()
    return Facts(
        standing=Standing.MEMBER if wanted else Standing.OUTSIDE,
        group=row.name,
        person=row.phone,
        today=today,
        fits=voice.fits,
        homes=tuple(
            _home(household, phone, situation)
            for household in phone.households
            if household.id in wanted
        ),
        shared=phone.shared,
        stopped=phone.stopped(),
        may_start=len(wanted) < len(phone.households),
        back_days=BACK_DAYS,
    )


def _home(household: HouseholdRow, phone: PhoneBundle, situation: Situation) -> Home:
    plots = tuple(
        Plot(
            letter=letter,
            # as in its texts, a shared phone names no crop
            crop=None if phone.shared else bundle.planting.crop,
            jobs=tuple(
                Job(number=dose.number, due_on=dose.due_on)
                for dose in bundle.doses
                if any(
                    (ref.plot, ref.number) == (letter, dose.number)
                    for ref in situation.context.open
                )
            ),
        )
        for letter, bundle in sorted(situation.plantings.items())
        if bundle.household.id == household.id
    )
    cans = tuple(
        number
        for number in sorted(situation.context.cans)
        if situation.cans[number] == household.id
    )
    return Home(id=household.id, label=household.label, plots=plots, cans=cans)
