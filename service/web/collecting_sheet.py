"""When a household must collect and seal so that its doses have ready cans, in words. Pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from service.agronomy.calendar import add_days, days_between
from service.agronomy.collect_plan import CollectPlan, Means, NoStart, Wanted
from service.agronomy.collecting import collect_by, collect_by_regime, collect_for_doses
from service.agronomy.regimes import Regime, rest_days
from service.agronomy.supply import Band, daily_litres
from service.planning.collect_notices import collecting_means, wanted_of
from service.records.people import HouseholdRow
from service.web.can_words import EATERS
from service.web.home_store import HomeStore
from service.web.sentence import Sentence, sentence

CANS_SHOWN = 30

_WHY_NOT = {
    NoStart.NOTHING_LACKS: sentence(
        "Nothing more has to be collected: the sealed cans are enough."
    ),
    NoStart.TOO_LITTLE: sentence("Too little is collected to fill the cans within two years."),
    NoStart.STORE_UNKNOWN: sentence(
        "No day can be named: the warmth of the store is not known. Ask an administrator."
    ),
    NoStart.COLD_STORE: sentence("No day can be named: the store is too cold for this rest."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class EaterPlan:
    """How to collect if the crops were eaten so; `own` where it is the household's own rule."""

    eats: Sentence
    rest_days: int
    own: bool
    plan: CollectPlan
    words: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CollectSheet:
    """How a household should collect for its doses to come.

    Attributes:
        words: the plan for the household's own eaters, in sentences.
        cans: each can of that plan, in the order of filling; `more` are not shown.
        eaters: the same for each kind of eater.
    """

    words: tuple[Sentence, ...]
    cans: tuple[Sentence, ...]
    more: int
    eaters: tuple[EaterPlan, ...]


def people_litres(household: HouseholdRow) -> Band:
    """Return the litres a day that a household collects."""
    return daily_litres(
        adults=household.adults, children=household.children, share=household.collected_share
    )


def means_of(store: HomeStore, *, store_c: float | None) -> Means:
    """Return what a household collects with, its store's temperature known without a can too."""
    means = collecting_means(store.household, store.cans, store.stock, today=store.today)
    return replace(means, store_c=store_c)


def next_can(store: HomeStore) -> Sentence | None:
    """Return which can a household should fill and seal next; None where it need not, or cannot."""
    wanted = wanted_of(store.stock)
    if not wanted or not store.cans:
        return None
    means = means_of(store, store_c=store.cans[0].store_c)
    plan = collect_for_doses(wanted, means=means, today=store.today)
    return next(_can_lines(_possible(plan, wanted, means, store), store.today), None)


def doses_sheet(store: HomeStore, means: Means) -> CollectSheet | None:
    """Return how to collect for the doses to come; None where none is to come."""
    wanted = wanted_of(store.stock)
    if not wanted:
        return None
    plan = collect_for_doses(wanted, means=means, today=store.today)
    cans = tuple(_can_lines(_possible(plan, wanted, means, store), store.today))
    regimes = {dose.regime for dose in wanted}
    every = collect_by_regime(wanted, means=means, today=store.today)
    return CollectSheet(
        words=tuple(_doses_words(store, plan)),
        cans=cans[:CANS_SHOWN],
        more=max(0, len(cans) - CANS_SHOWN),
        eaters=tuple(_eater(store, regime, other, own=regimes) for regime, other in every.items()),
    )


def _possible(
    plan: CollectPlan, wanted: Sequence[Wanted], means: Means, store: HomeStore
) -> CollectPlan:
    """Return the plan in which doses that a start today is too late for get the sealed cans only.

    Without their share of those, the cans would count twice.
    """
    first = plan.ready_from
    if first is None or not plan.too_late_for_first:
        return plan
    left = [
        dose if dose.due_on >= first.due_on else replace(dose, litres=_sealed_l(store, dose))
        for dose in wanted
    ]
    return collect_for_doses(left, means=means, today=store.today)


def _sealed_l(store: HomeStore, wanted: Wanted) -> float:
    draws = store.stock.allotted[wanted.dose].draws
    return sum((draw.litres for draw in draws if not draw.forecast), start=0.0)


def _can_lines(plan: CollectPlan, today: date) -> Iterator[Sentence]:
    late_days = 0 if plan.start_on is None else max(0, days_between(plan.start_on, today))
    for can in plan.seal_by:
        full_on = add_days(can.full_on, late_days)
        values = {"litres": can.litres, "full": full_on, "seal": can.seal_on}
        if full_on <= can.seal_on:
            yield sentence("%(litres)s L, full about %(full)s: seal it by %(seal)s.", **values)
        else:
            yield sentence(
                "%(litres)s L, full about %(full)s: too late, as its dose needs it sealed by"
                " %(seal)s.",
                **values,
            )


def _eater(store: HomeStore, regime: Regime, plan: CollectPlan, *, own: set[Regime]) -> EaterPlan:
    return EaterPlan(
        eats=EATERS[regime],
        rest_days=rest_days(regime),
        own=regime in own,
        plan=plan,
        words=tuple(_notes(store, plan)),
    )


def _doses_words(store: HomeStore, plan: CollectPlan) -> Iterator[Sentence]:
    if plan.start_on is not None and plan.start_on >= store.today:
        yield sentence("Start collecting on %(day)s at the latest.", day=plan.start_on)
    elif plan.start_on is not None:
        yield sentence(
            "Start today: for every dose, collecting had to start on %(day)s.", day=plan.start_on
        )
    yield from _notes(store, plan)


def _notes(store: HomeStore, plan: CollectPlan) -> Iterator[Sentence]:
    """Return what is to be minded: no plan, or too late for the first doses."""
    if plan.why_not is not None:
        yield _WHY_NOT[plan.why_not]
        return
    if plan.too_late_for_first and plan.ready_from is not None:
        yield sentence(
            "Too late for the first dose; from %(dose)s on, %(day)s, cans are ready.",
            dose=_code(store, plan.ready_from),
            day=plan.ready_from.due_on,
        )
    elif plan.too_late_for_first:
        yield sentence("Too late for every dose of this season.")
    if plan.never_ready:
        yield sentence(
            "For some doses no can becomes ready here: the store's warmth is not known, or too low."
        )


def _code(store: HomeStore, wanted: Wanted) -> str:
    planting_id, number = wanted.dose
    letter = next(
        state.bundle.plot.letter
        for state in store.states
        if state.bundle.planting.id == planting_id
    )
    return f"{letter or ''}{number}"


def asked_plans(
    litres: float, by: date, *, means: Means, household: HouseholdRow, today: date
) -> tuple[EaterPlan, ...]:
    """Return how to collect so many litres by a day, for each kind of eater."""
    return tuple(
        EaterPlan(
            eats=EATERS[regime],
            rest_days=rest_days(regime),
            own=regime is household.regime,
            plan=plan,
            words=tuple(_asked_notes(plan, means, today)),
        )
        for regime in Regime
        for plan in (collect_by(by, litres, regime=regime, means=means, today=today),)
    )


def _asked_notes(plan: CollectPlan, means: Means, today: date) -> Iterator[Sentence]:
    if plan.why_not is not None:
        yield _WHY_NOT[plan.why_not]
    elif plan.start_on is not None and plan.start_on < today and plan.last_seal_on is not None:
        days = max(0, days_between(today, plan.last_seal_on))
        yield sentence(
            "The day to start has passed: from today on, about %(litres)s L can be ready in time.",
            litres=round(days * means.litres_a_day, 1),
        )
