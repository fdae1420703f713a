"""The answers about one plot: what to do, why then, when harvest is safe, what if it rains."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.explain import explain
from service.agronomy.reasons import About
from service.agronomy.season import Hold, plan_season
from service.confirmations.crop_news import RAIN_DAYS
from service.confirmations.plot_state import PlotState
from service.planning.season_facts import season_facts
from service.records.fields import DoseRow
from service.records.site import waits_for_decision
from service.web.next_pour import OUTDATED, Pour
from service.web.planting_sheet import (
    code_of,
    counts_from_planting_out,
    doses_left,
    harvest_days,
)
from service.web.planting_turns import waits_after_burn
from service.web.reason_words import Naming, words_of
from service.web.sentence import Sentence, sentence
from service.web.tongue import Tongue
from service.web.why_nothing import POUR_NOTHING

WHAT, HOW_MUCH = sentence("What to do"), sentence("How much")


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """How a household's jobs are written out.

    Attributes:
        page: the language of the page.
        grower: the language in which the household texts, which its reply code is told in.
        crop: a crop's short name, by its id.
        what: the household's word for what is poured.
    """

    page: Tongue
    grower: Tongue
    crop: Callable[[str], str]
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Where more is said."""

    path: str
    words: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One answer: its question in short, and what is said to it."""

    heading: Sentence
    said: tuple[Sentence, ...]
    link: Link | None = None

    @property
    def stressed(self) -> bool:
        """Whether its first sentence is what one looks for at a glance."""
        return self.heading in (WHAT, HOW_MUCH)


def stopped_part(state: PlotState) -> Part | None:
    """Return why nothing is to be poured on a plot; None where a dose is to come."""
    if waits_for_decision(state.bundle.plot):
        return Part(
            heading=WHAT,
            said=(sentence("Pour nothing here: the ground is risky, and nobody has decided."),),
            link=Link(
                path=f"/plots/{state.bundle.plot.id}#ground",
                words=sentence("Look at the ground and decide"),
            ),
        )
    if doses_left(state):
        return None
    none_left = sentence("Pour nothing more: no dose is left.")
    said = none_left if state.bundle.doses else OUTDATED
    link = Link(path=_planting(state), words=sentence("The whole season"))
    return Part(heading=WHAT, said=(said,), link=link)


def what_part(state: PlotState, row: DoseRow, pour: Pour, today: date) -> Part:
    """Return what is to be done with a dose, and when."""
    if waits_after_burn(state):
        return Part(
            heading=WHAT,
            said=(
                sentence("Wait: leaves are burnt, and a person looks first."),
                sentence("Then %(dose)s on %(day)s.", dose=_named(state, row), day=row.due_on),
            ),
            link=Link(path=f"{_planting(state)}/turn", words=sentence("I have looked: go on")),
        )
    said: tuple[Sentence, ...] = (_when(state, row, today), *_assumed(state, row))
    if pour.nothing is not None:
        values = {"dose": _named(state, row), "day": row.due_on}
        said = (Sentence(text=POUR_NOTHING[pour.nothing].text, values=values),)
    elif not pour.draws:
        said = (OUTDATED,)
    return Part(
        heading=WHAT,
        said=said,
        link=Link(path=f"{_planting(state)}/news", words=sentence("Say what happened")),
    )


def _when(state: PlotState, row: DoseRow, today: date) -> Sentence:
    values = {"dose": _named(state, row), "day": row.due_on, "last": row.closes_on}
    away = days_between(today, row.due_on)
    if row.closes_on < today:
        return sentence(
            "The days of %(dose)s, due on %(day)s, are over: ask whether it was done.", **values
        )
    if away < 0:
        return sentence(
            "Pour %(dose)s now: it was due on %(day)s and is open up to %(last)s.", **values
        )
    if away == 0:
        return sentence("Pour %(dose)s today, %(day)s.", **values)
    if away == 1:
        return sentence("Pour %(dose)s tomorrow, %(day)s.", **values)
    if row.number == 1:
        return sentence(
            "Nothing to pour yet. The first, %(dose)s, is on %(day)s, with sowing or planting out.",
            **values,
        )
    return sentence("Pour nothing until %(day)s: then %(dose)s.", **values)


def _assumed(state: PlotState, row: DoseRow) -> Iterator[Sentence]:
    counts_from_up = row.number > 1 and not counts_from_planting_out(state)
    if counts_from_up and state.plan.emergence_assumed:
        yield sentence("Only if most plants are up: their day is assumed so far.")


def why_part(state: PlotState, row: DoseRow, voice: Voice) -> Part:
    """Return why a dose has its day: the rule that decides in the end."""
    chain = explain(season_facts(state.bundle), state.plan).of(About.DOSE_DAY, row.number)
    naming = Naming(day=voice.page.short_day, crop=voice.crop(state.bundle.planting.crop))
    return Part(
        heading=sentence("Why that day"),
        said=words_of(chain[-1:], naming),
        link=Link(
            path=f"{_planting(state)}/why#dose-{row.number}-day", words=sentence("The whole reason")
        ),
    )


def harvest_part(state: PlotState, today: date) -> Part:
    """Return from when a harvest is safe: if all is given, and by what is known today."""
    found = harvest_days(state, today)
    said = []
    if found.planned_on:
        said.append(
            sentence("Not before %(day)s, if the doses left are given.", day=found.planned_on),
        )
    if found.safe_on and found.safe_on != found.planned_on:
        said.append(sentence("By what is known today, not before %(day)s.", day=found.safe_on))
    if not said:
        said.append(sentence("No dose has fallen due so far."))
    return Part(
        heading=sentence("When harvest is safe"),
        said=tuple(said),
        link=Link(path=f"{_planting(state)}/why#harvest", words=sentence("Why so late?")),
    )


def rain_part(state: PlotState, row: DoseRow, voice: Voice, today: date) -> Part:
    """Return what to do in rain, and where the dose goes then."""
    return Part(
        heading=sentence("If it rains"),
        said=(
            sentence("Heavy rain, or expected within two days: do not pour."),
            _tell(state, voice),
            _after_rain(state, row, today),
        ),
    )


def _tell(state: PlotState, voice: Voice) -> Sentence:
    letter = state.bundle.plot.letter
    if letter is None or state.bundle.household.needs_call:
        return sentence("Ring the coordinator.")
    code = voice.grower.say(sentence("%(letter)s RAIN", letter=letter))
    return sentence("Text %(code)s, or ring the coordinator.", code=code)


def _after_rain(state: PlotState, row: DoseRow, today: date) -> Sentence:
    facts = season_facts(state.bundle)
    rain = Hold(
        first_on=min(row.due_on, today),
        last_on=add_days(max(row.due_on, today), RAIN_DAYS - 1),
    )
    plan = plan_season(replace(facts, holds=(*facts.holds, rain)))
    moved = next((dose.due_on for dose in plan.doses if dose.number == row.number), None)
    if moved is None:
        return sentence("%(dose)s is then left out.", dose=_named(state, row))
    return sentence("%(dose)s then moves to %(day)s.", dose=_named(state, row), day=moved)


def _named(state: PlotState, row: DoseRow) -> object:
    if state.bundle.plot.letter is None:
        return sentence("dose %(number)s", number=row.number)
    return code_of(state, row.number)


def _planting(state: PlotState) -> str:
    return f"/plantings/{state.bundle.planting.id}"
