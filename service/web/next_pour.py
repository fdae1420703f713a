"""From which can a dose is poured, and how much of it, in the grower's own measures."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.agronomy.containers import Draw
from service.agronomy.season import water_on
from service.confirmations.plot_state import PlotState
from service.planning.allotting import eaters_of
from service.planning.season_facts import season_facts
from service.planning.stock import Can
from service.records.fields import DoseRow
from service.web.home_store import HomeStore
from service.web.own_measures import own_measures
from service.web.sentence import Sentence, sentence
from service.web.why_nothing import REASONS, WhyNothing, why_nothing

OUTDATED = sentence("The plan is made within some minutes: look again then.")
_LEAST_L = 0.05  # less is the noise of rounding


@dataclass(frozen=True, slots=True, kw_only=True)
class Pour:
    """A dose as the cans can give it.

    `draws` is empty where they give nothing, and `nothing` says why; it is None as well where the
    dose is no longer in the plan, until the next step takes it out.
    """

    litres: float
    water_ratio: float
    wanted_litres: float
    draws: tuple[Draw, ...]
    nothing: WhyNothing | None

    @property
    def water_litres(self) -> float:
        """The water that goes with it."""
        return self.litres * self.water_ratio

    @property
    def short_litres(self) -> float:
        """What the cans lack of it."""
        lacking = self.wanted_litres - self.litres
        return lacking if lacking > _LEAST_L else 0.0


def pour_of(store: HomeStore, state: PlotState, row: DoseRow) -> Pour:
    """Return what a dose gets; litres that were told stay as they are."""
    key = (row.planting_id, row.number)
    got = store.stock.allotted.get(key)
    ask = next((ask for ask in store.stock.asks if ask.dose == key), None)
    litres = row.urine_l if row.told or got is None else got.litres
    lacks = row.short_l if row.told or got is None else got.short_litres
    return Pour(
        litres=litres,
        water_ratio=water_on(season_facts(state.bundle), row.due_on),
        wanted_litres=litres + lacks,
        draws=() if got is None else got.draws,
        nothing=None if ask is None else why_nothing(store, ask),
    )


def next_dose(store: HomeStore, state: PlotState, row: DoseRow) -> Sentence:
    """Return a dose in one line: its day, and its litres or why nothing is to be poured."""
    pour = pour_of(store, state, row)
    if pour.nothing is not None:
        return sentence(
            "Next dose: %(day)s. Nothing is to be poured. %(why)s",
            day=row.due_on,
            why=REASONS[pour.nothing],
        )
    if not pour.draws:
        return OUTDATED
    return sentence("Next dose: %(day)s, %(litres)s L.", day=row.due_on, litres=pour.litres)


def from_cans(store: HomeStore, state: PlotState, row: DoseRow, pour: Pour) -> list[Sentence]:
    """Return from which can, or cans in their order, a dose is poured."""
    if pour.nothing is not None:
        poured_on = max(row.due_on, store.today)
        return [REASONS[pour.nothing], *_ready_later(store, state, poured_on)]
    if not pour.draws:
        return [OUTDATED]
    cans = {can.container_id: can for can in store.cans}
    alone = len(pour.draws) == 1
    found: list[Sentence] = []
    for draw in pour.draws:
        can = cans[draw.can]
        ready_on = can.ready_for(eaters_of(state.bundle))
        if draw.forecast:
            words = sentence("Can %(number)s, expected: it is not sealed yet", number=can.number)
        elif ready_on is not None and ready_on > store.today:
            words = sentence("Can %(number)s, ready on %(day)s", number=can.number, day=ready_on)
        else:
            words = sentence("Can %(number)s", number=can.number)
        found.append(
            sentence("%(can)s.", can=words)
            if alone
            else sentence("%(can)s: %(litres)s L.", can=words, litres=draw.litres)
        )
    return found


def _ready_later(store: HomeStore, state: PlotState, poured_on: date) -> Iterator[Sentence]:
    eaters = eaters_of(state.bundle)
    later = [
        (ready_on, can.number)
        for can in store.cans
        if (ready_on := can.ready_for(eaters)) is not None and ready_on > poured_on
    ]
    if later:
        ready_on, number = min(later)
        yield sentence("Can %(number)s is ready on %(day)s.", number=number, day=ready_on)
    elif any(can.sealed_on and can.ready_for(eaters) is None for can in store.cans):
        yield sentence("The store's warmth is not known, or it is cold: ask an administrator.")
    else:
        yield sentence("Fill one and seal it.")


def how_much(store: HomeStore, state: PlotState, pour: Pour, what: str) -> list[Sentence]:
    """Return the litres of a dose, urine and water apart, and what of them goes where."""
    if not pour.draws:
        return [
            sentence(
                "Nothing now; %(litres)s L of %(what)s are planned.",
                litres=pour.wanted_litres,
                what=what,
            )
        ]
    return [
        _litres(pour, what),
        *_short(pour),
        *own_measures(
            state,
            litres=pour.litres,
            water_ratio=pour.water_ratio,
            can_litres=_can_litres(store.cans, pour),
            what=what,
        ),
    ]


def _litres(pour: Pour, what: str) -> Sentence:
    if not pour.water_ratio:
        return sentence("%(litres)s L of %(what)s, no water.", litres=pour.litres, what=what)
    return sentence(
        "%(litres)s L of %(what)s and %(water)s L of water.",
        litres=pour.litres,
        what=what,
        water=pour.water_litres,
    )


def _short(pour: Pour) -> Iterator[Sentence]:
    if pour.short_litres:
        yield sentence(
            "The cans lack %(short)s L of the %(wanted)s L planned: pour only this.",
            short=pour.short_litres,
            wanted=pour.wanted_litres,
        )


def _can_litres(cans: tuple[Can, ...], pour: Pour) -> float | None:
    drawn = {draw.can for draw in pour.draws}
    sizes = {can.standing.facts.volume_litres for can in cans if can.container_id in drawn}
    return sizes.pop() if len(sizes) == 1 else None
