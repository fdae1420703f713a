"""One household as its page shows it, gathered in a fixed number of looks."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from service.confirmations.plot_state import PlotState
from service.messages.phone import masked_number
from service.planning.stock import Can
from service.records.engine import Session
from service.records.fields import PlantingRow, PlotRow
from service.records.household_list import (
    NO_GROUNDS,
    Grounds,
    HouseholdLine,
    grounds_of_households,
    phones_of_households,
)
from service.records.household_page import (
    failed_plantings,
    household_by_id,
    open_tasks_of_household,
    plantings_of_household,
    plots_of_household,
)
from service.records.people import AssociationRow, Consent, ConsentEventRow, HouseholdRow
from service.records.phones import PhoneBundle
from service.records.traffic import CallTaskRow
from service.web.home_store import HomeStore, store_now
from service.web.household_words import can_words, end_words
from service.web.next_pour import next_dose
from service.web.planting_sheet import counts_from_planting_out, doses_left
from service.web.sentence import Sentence, sentence

SAID_SHOWN = 6  # of all that was ever said about texts, the latest
HARVESTED_SHOWN = 6
TASKS_SHOWN = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """Something said about getting texts; `wording` is what was read out."""

    words: Sentence
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneLine:
    """A phone of the household; `others` share it."""

    phone_id: int
    masked: str
    state: Sentence
    mark: str
    stopped: bool
    others: tuple[HouseholdRow, ...]
    said: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingLine:
    """A planting with its next dose; `unsure`: its day counts from an assumed emergence."""

    planting_id: int
    letter: str | None
    crop: str
    since: Sentence
    next_dose: Sentence | None
    unsure: bool
    planned: bool
    harvested: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CanLine:
    """A can and where it stands."""

    can: Can
    litres: float
    state: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdView:
    """All that the page shows but the texts."""

    line: HouseholdLine
    store: HomeStore
    bundles: tuple[PhoneBundle, ...]
    grounds: Grounds
    phones: tuple[PhoneLine, ...]
    plots: tuple[PlotRow, ...]
    plantings: tuple[PlantingLine, ...]
    cans: tuple[CanLine, ...]
    tasks: tuple[CallTaskRow, ...]
    more_tasks: int


def phones_of(session: Session, association_id: int, household_id: int) -> list[PhoneBundle]:
    """Return a household's phones."""
    found = phones_of_households(session, association_id, (household_id,))
    return found.get(household_id, [])


def household_view(
    session: Session, row: AssociationRow, household_id: int, *, today: date
) -> HouseholdView:
    """Return a household as it stands today."""
    line = household_by_id(session, row.id, household_id)
    bundles = phones_of(session, row.id, household_id)
    grounds = grounds_of_households(session, row.id, (household_id,))
    growing = store_now(session, row.id, line.household, today=today)
    every = plantings_of_household(session, row.id, household_id)
    failed = failed_plantings(session, row.id, household_id)
    ended = [(planting, plot) for planting, plot in every if planting.closed_on is not None]
    tasks = open_tasks_of_household(
        session, row.id, household_id, phones=[bundle.phone.id for bundle in bundles]
    )
    return HouseholdView(
        line=line,
        store=growing,
        bundles=tuple(bundles),
        grounds=grounds.get(household_id, NO_GROUNDS),
        phones=tuple(phone_line(bundle, line.household) for bundle in bundles),
        plots=tuple(plots_of_household(session, row.id, household_id)),
        plantings=(
            *(_growing(growing, state) for state in growing.states),
            *(
                _ended(planting, plot, end_words(planting, failed))
                for planting, plot in ended[:HARVESTED_SHOWN]
            ),
        ),
        cans=tuple(_can(can) for can in growing.cans),
        tasks=tuple(tasks[:TASKS_SHOWN]),
        more_tasks=max(0, len(tasks) - TASKS_SHOWN),
    )


def phone_line(bundle: PhoneBundle, household: HouseholdRow) -> PhoneLine:
    """Return a phone as the page of one of its households shows it."""
    said = [
        event
        for event in bundle.consents
        if event.household_id is None or event.household_id == household.id
    ]
    state, mark = _phone_state(bundle, household, said)
    return PhoneLine(
        phone_id=bundle.phone.id,
        masked=masked_number(bundle.phone.number),
        state=state,
        mark=mark,
        stopped=bundle.stopped(),
        others=tuple(home for home in bundle.households if home.id != household.id),
        said=tuple(
            Said(words=_said_words(event), wording=event.wording) for event in said[-SAID_SHOWN:]
        ),
    )


def _phone_state(
    bundle: PhoneBundle, household: HouseholdRow, said: Sequence[ConsentEventRow]
) -> tuple[Sentence, str]:
    if household.id in bundle.consenting():
        return sentence("texts on"), "✓"
    if bundle.stopped():
        return sentence("stopped"), "✕"
    if any(event.kind is Consent.VERBAL for event in said):
        return sentence("waiting for START"), "…"
    return sentence("nobody has asked yet"), "?"


def _said_words(event: ConsentEventRow) -> Sentence:
    match event.kind:
        case Consent.VERBAL:
            return sentence("%(who)s asked on %(day)s: yes.", who=event.asked_by, day=event.on)
        case Consent.GIVEN:
            return sentence("The phone said yes on %(day)s.", day=event.on)
        case Consent.REFUSED:
            return sentence("The phone said no on %(day)s.", day=event.on)
        case Consent.STOPPED if event.asked_by:
            return sentence(
                "Asked by voice to stop on %(day)s, noted by %(who)s.",
                day=event.on,
                who=event.asked_by,
            )
        case Consent.STOPPED:
            return sentence("The phone said STOP on %(day)s.", day=event.on)


def _growing(store: HomeStore, state: PlotState) -> PlantingLine:
    doses = doses_left(state)
    dose = doses[0] if doses else None
    return PlantingLine(
        planting_id=state.bundle.planting.id,
        letter=state.bundle.plot.letter,
        crop=state.bundle.planting.crop,
        since=_since(state, store.today),
        next_dose=None if dose is None else next_dose(store, state, dose),
        unsure=dose is not None
        and dose.number > 1
        and state.plan.emergence_assumed
        and not counts_from_planting_out(state),
        planned=bool(state.bundle.doses),
        harvested=False,
    )


def _since(state: PlotState, today: date) -> Sentence:
    on = state.reports.planted_on
    match counts_from_planting_out(state), on > today:
        case True, True:
            return sentence("to be planted on %(day)s", day=on)
        case True, False:
            return sentence("planted on %(day)s", day=on)
        case False, True:
            return sentence("to be sown on %(day)s", day=on)
        case _:
            return sentence("sown on %(day)s", day=on)


def _ended(planting: PlantingRow, plot: PlotRow, since: Sentence) -> PlantingLine:
    return PlantingLine(
        planting_id=planting.id,
        letter=plot.letter,
        crop=planting.crop,
        since=since,
        next_dose=None,
        unsure=False,
        planned=True,
        harvested=True,
    )


def _can(can: Can) -> CanLine:
    return CanLine(can=can, litres=can.standing.facts.volume_litres, state=can_words(can))
