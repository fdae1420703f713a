"""What a phone's text is read against: its plots, open doses, cans and questions."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from service.agronomy.calendar import add_days, days_between
from service.agronomy.containers import CanState
from service.agronomy.season import plan_season
from service.inbound.reply_codes import Context, DoseRef, Question, SentText
from service.outbox.lookups import bodies_since, keys_left
from service.planning.cans import cans_by_household
from service.planning.crop_notices import NOTICE_KEPT_DAYS
from service.planning.season_facts import season_facts
from service.planning.send_window import ECHO_DAYS, local_day, zone_of
from service.planning.stock import Can
from service.records.engine import Session
from service.records.fields import DoseState
from service.records.people import AssociationRow
from service.records.phones import PhoneBundle, phone_ids_of
from service.records.plantings import PlantingBundle, open_plantings

EARLY_DAYS = 2
BEING_FILLED = (CanState.FILLING, CanState.EMPTY)
LATE_DAYS = 6  # a window that closed no longer ago can still be reported on


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """A phone's context for the parser, and which planting and household each name means."""

    context: Context
    plantings: dict[str, PlantingBundle]  # by plot letter
    cans: dict[int, int]  # household by can number


def unknown_situation(row: AssociationRow, *, sender: str | None, now: datetime) -> Situation:
    """Return the situation of a number that nobody has enrolled."""
    context = Context(
        language=row.language,
        plots=(),
        open=(),
        done=(),
        cans=(),
        received_on=local_day(now, zone_of(row.zone)),
        unknown=True,
        sender=sender,
    )
    return Situation(context=context, plantings={}, cans={})


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the records hold of a phone's homes, or of more; `asked` are keys of questions sent."""

    plantings: Sequence[PlantingBundle]
    cans: Sequence[Can]
    asked: Collection[str]


def situation_of(
    session: Session, row: AssociationRow, phone: PhoneBundle, *, language: str, now: datetime
) -> Situation:
    """Return what a known phone's text is read against."""
    today = local_day(now, zone_of(row.zone))
    homes = {household.id for household in phone.households}
    standing = cans_by_household(session, row.id, today=today, households=homes)
    ground = Ground(
        plantings=open_plantings(session, row.id, households=homes),
        cans=[can for cans in standing.values() for can in cans],
        asked=keys_left(
            session, row.id, ("emerge_q",), phones=phone_ids_of(session, row.id, homes)
        ),
    )
    situation = situation_on(ground, phone, language=language, today=today)
    sent = tuple(
        SentText(text=text.body, sent_on=local_day(text.changed_at, zone_of(row.zone)))
        for text in bodies_since(session, row.id, phone.phone.number, since=now - ECHO_DAYS)
        if text.body is not None
    )
    return replace(situation, context=replace(situation.context, sent=sent))


def situation_on(ground: Ground, phone: PhoneBundle, *, language: str, today: date) -> Situation:
    """Return a phone's situation on a day, but for what was sent to it."""
    homes = {household.id for household in phone.households}
    plantings = {
        bundle.plot.letter: bundle
        for bundle in ground.plantings
        if bundle.household.id in homes and bundle.plot.letter is not None
    }
    cans = [can for can in ground.cans if can.household_id in homes]
    opens: list[DoseRef] = []
    done: list[DoseRef] = []
    for letter, bundle in plantings.items():
        for dose in bundle.doses:
            ref = DoseRef(plot=letter, number=dose.number)
            if dose.state is DoseState.DONE:
                done.append(ref)
            elif dose.state is not DoseState.DROPPED and add_days(
                dose.due_on, -EARLY_DAYS
            ) <= today <= add_days(dose.closes_on, LATE_DAYS):
                opens.append(ref)
    question, plot = _question(ground, phone, plantings, today=today)
    return Situation(
        context=Context(
            language=language,
            plots=tuple(plantings),
            open=tuple(opens),
            done=tuple(done),
            cans=tuple(can.number for can in cans if can.state in BEING_FILLED),
            received_on=today,
            shared=_is_unsure(phone, question, opens),
            question=question,
            question_plot=plot,
        ),
        plantings=plantings,
        cans={can.number: can.household_id for can in cans},
    )


def _is_unsure(phone: PhoneBundle, question: Question | None, opens: list[DoseRef]) -> bool:
    """Say whether a bare yes or no may mean several things, or several homes."""
    if question is Question.CONSENT:
        # the invitation asks the phone itself, whoever shares it
        return bool(opens) and bool(phone.consenting())
    return phone.shared or (question is Question.EMERGENCE and bool(opens))


def _question(
    ground: Ground, phone: PhoneBundle, plantings: Mapping[str, PlantingBundle], *, today: date
) -> tuple[Question | None, str | None]:
    if phone.uninvited() is not None:
        return Question.CONSENT, None
    waiting = [
        letter
        for letter, bundle in plantings.items()
        if f"emerge_q:{bundle.planting.id}" in ground.asked and _waits_for_plants(bundle, today)
    ]
    if not waiting:
        return None, None
    return Question.EMERGENCE, waiting[0] if len(waiting) == 1 else None


def _waits_for_plants(bundle: PlantingBundle, today: date) -> bool:
    plan = plan_season(season_facts(bundle))
    # a week later it is a person's turn to ask
    return plan.emergence_assumed and days_between(plan.emergence_on, today) < NOTICE_KEPT_DAYS
