"""One more part of a household that stands: which parts there are, and how each is saved."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from service.confirmations.outcomes import Desk
from service.enrolment.faults import Faults
from service.enrolment.results import CanAdded, PhoneAdded, PlantingAdded, PlotAdded
from service.enrolment.rules import Rules
from service.enrolment.steps import (
    add_can,
    add_consent,
    add_phone,
    add_planting,
    add_plot,
    change_household,
)
from service.records.enrolment import free_plots
from service.web.enrol_form import (
    can_of,
    consent_of,
    household_of,
    note_faults,
    phone_of,
    planting_of,
    plot_of,
)
from service.web.enrol_said import (
    can_words,
    consent_words,
    phone_words,
    planting_words,
    plot_words,
)
from service.web.form import Form
from service.web.here import here
from service.web.household_view import phones_of
from service.web.sentence import Sentence, sentence

PARTS: Mapping[str, Sentence] = {
    "people": sentence("The household"),
    "phone": sentence("A phone"),
    "consent": sentence("Their yes to texts"),
    "plot": sentence("A plot"),
    "planting": sentence("A planting, or a plan"),
    "container": sentence("A can"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class AddedTo:
    """The household that something is added to, and the words read out before its yes."""

    household_id: int
    wording: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What to say of a part that was saved."""

    said: Sentence
    notes: tuple[Sentence, ...] = ()
    planting_id: int | None = None


def enrolment_rules() -> Rules:
    """Return what entries are held against."""
    services = here().services
    return Rules(
        catalogue=services.catalogue,
        allowed_countries=services.settings.allowed_countries,
        test_numbers=services.settings.test_numbers,
    )


def add_part(desk: Desk, form: Form, to: AddedTo, part: str) -> Added | None:
    """Save one part, or note its faults in the form and return None."""
    return _SAVERS[part](desk, form, to)


def _people(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    entry = household_of(form)
    if entry is None:
        return None
    changed = change_household(desk, to.household_id, entry, enrolment_rules())
    if isinstance(changed, Faults):
        note_faults(form, changed)
        return None
    return Added(said=sentence("The household was saved."))


def _phone(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    entry = phone_of(form)
    if entry is None:
        form.text("number", most=1)  # notes that it is to be filled in
        return None
    added = add_phone(desk, to.household_id, entry, enrolment_rules())
    if not isinstance(added, PhoneAdded):
        note_faults(form, added)
        return None
    said, notes = phone_words(added)
    return Added(said=said, notes=notes)


def _consent(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    entry = consent_of(form, wording=to.wording)
    phones = phones_of(desk.session, desk.association_id, to.household_id)
    chosen = form.one_of("phone_id", [str(bundle.phone.id) for bundle in phones])
    if entry is None or chosen is None:
        return None
    outcome = add_consent(desk, to.household_id, int(chosen), entry)
    if isinstance(outcome, Faults):
        note_faults(form, outcome)
        return None
    return Added(said=consent_words(outcome))


def _plot(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    entry = plot_of(form)
    if entry is None:
        return None
    added = add_plot(desk, to.household_id, entry)
    if not isinstance(added, PlotAdded):
        note_faults(form, added)
        return None
    said, notes = plot_words(added)
    return Added(said=said, notes=notes)


def _planting(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    plots = free_plots(desk.session, desk.association_id, to.household_id)
    chosen = form.one_of("plot_id", [str(plot.id) for plot in plots])
    entry = planting_of(form)
    if entry is None or chosen is None:
        return None
    added = add_planting(desk, int(chosen), entry)
    if not isinstance(added, PlantingAdded):
        note_faults(form, added)
        return None
    return Added(said=planting_words(added), planting_id=added.planting_id)


def _container(desk: Desk, form: Form, to: AddedTo) -> Added | None:
    entry = can_of(form)
    if entry is None:
        return None
    added = add_can(desk, to.household_id, entry)
    if not isinstance(added, CanAdded):
        note_faults(form, added)
        return None
    return Added(said=can_words(added))


_SAVERS: Mapping[str, Callable[[Desk, Form, AddedTo], Added | None]] = {
    "people": _people,
    "phone": _phone,
    "consent": _consent,
    "plot": _plot,
    "planting": _planting,
    "container": _container,
}
