"""What comes next on each plot of a household, and what to mind in it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from service.agronomy.cautions import cautions
from service.agronomy.regimes import Regime
from service.agronomy.season import Soil
from service.confirmations.plot_state import PlotState
from service.planning.allotting import eaters_of
from service.web.here import here
from service.web.home_store import HomeStore
from service.web.next_parts import (
    HOW_MUCH,
    Link,
    Part,
    Voice,
    harvest_part,
    rain_part,
    stopped_part,
    what_part,
    why_part,
)
from service.web.next_pour import from_cans, how_much, pour_of
from service.web.planting_heading import small_text
from service.web.planting_sheet import doses_left, heading
from service.web.sentence import Sentence, sentence
from service.web.tongue import SOURCE

CAUTIONS_SHOWN = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class NextJob:
    """What comes next on one plot; `on` is its day, None where nothing is to be poured."""

    planting_id: int
    heading: Sentence
    on: date | None
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NextPanel:
    """A household's jobs, the earliest first, and the cautions of the moment, in English."""

    jobs: tuple[NextJob, ...]
    cautions: tuple[str, ...]


def next_panel(store: HomeStore) -> NextPanel:
    """Return what comes next on each growing plot of a household."""
    voice = _voice(store)
    jobs = [_job(store, state, voice) for state in store.states]
    return NextPanel(
        jobs=tuple(sorted(jobs, key=lambda job: job.on or date.max)),
        cautions=_cautions(store.states),
    )


def what_word(store: HomeStore) -> str:
    """Return the word for what is poured: the household's own, or a neutral one if discreet."""
    if store.household.discreet:
        return store.household.word or small_text("what.discreet")
    return small_text("what.plain")


def _voice(store: HomeStore) -> Voice:
    tongues = here().office.tongues
    return Voice(
        page=here().tongue,
        grower=tongues.get(store.household.language, tongues[SOURCE]),
        crop=lambda crop_id: small_text(f"crop.{crop_id}"),
        what=what_word(store),
    )


def _job(store: HomeStore, state: PlotState, voice: Voice) -> NextJob:
    stopped = stopped_part(state)
    row = doses_left(state)[0] if stopped is None else None
    parts: tuple[Part, ...] = () if stopped is None else (stopped,)
    rain: tuple[Part, ...] = ()
    if row is not None:
        pour = pour_of(store, state, row)
        need = Link(path=f"/households/{store.household.id}/stock", words=sentence("Cans and need"))
        parts = (
            what_part(state, row, pour, store.today),
            Part(
                heading=sentence("From which can"),
                said=tuple(from_cans(store, state, row, pour)),
                link=need if pour.short_litres or not pour.draws else None,
            ),
            Part(
                heading=HOW_MUCH,
                said=tuple(how_much(store, state, pour, voice.what)),
            ),
            why_part(state, row, voice),
        )
        rain = (rain_part(state, row, voice, store.today),)
    return NextJob(
        planting_id=state.bundle.planting.id,
        heading=heading(state, crop=voice.crop(state.bundle.planting.crop)),
        on=None if row is None else row.due_on,
        parts=(*parts, harvest_part(state, store.today), *rain),
    )


def _cautions(states: tuple[PlotState, ...]) -> tuple[str, ...]:
    wanted = list(_caution_ids(states))[:CAUTIONS_SHOWN]
    texts = {caution.id: caution.text for caution in cautions()}
    return tuple(texts[name] for name in wanted)


def _caution_ids(states: tuple[PlotState, ...]) -> Iterator[str]:
    # none of these names what is poured, so that they stand on discreet pages as well
    if any(state.bundle.plot.soil is not Soil.NORMAL for state in states):
        yield "poor-soil"
    if any(eaters_of(state.bundle) is Regime.OWN_HOUSEHOLD for state in states):
        yield "two-weeks"
    yield from ("hands", "rested", "no-more")
