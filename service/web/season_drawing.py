"""The season of a planting as a drawing: which days are marked, and with which words."""

from collections.abc import Iterator
from datetime import date

from service.confirmations.plot_state import PlotState
from service.web.planting_sheet import (
    SHAPES,
    Reader,
    counts_from_planting_out,
    day_of,
    dose_words,
    harvest_days,
)
from service.web.sentence import Sentence, sentence
from service.web.timeline import Drawing, Happening, Shape, draw


def season_drawing(state: PlotState, reader: Reader) -> Drawing:
    """Return the picture of a season, its words in the page's language."""
    return draw(
        [
            Happening(shape=shape, on=on, words=reader.tongue.say(words))
            for shape, on, words in _days(state, reader)
        ],
        cutoff_on=state.plan.cutoff_on,
    )


def _days(state: PlotState, reader: Reader) -> Iterator[tuple[Shape, date, Sentence]]:
    plan, sown_on = state.plan, state.reports.planted_on
    yield Shape.SOWN, sown_on, _sown(state, reader.day(sown_on))
    up_shape = Shape.UP_ASSUMED if plan.emergence_assumed else Shape.UP
    yield up_shape, plan.emergence_on, _up(state, reader.day(plan.emergence_on))
    for row in state.bundle.doses:
        yield SHAPES[row.state], day_of(state, row), dose_words(state, row, reader)
    end = sentence("No dose after %(day)s", day=reader.day(plan.cutoff_on))
    yield Shape.CUTOFF, plan.cutoff_on, end
    harvested_on, failed_on = state.reports.harvested_on, state.reports.failed_on
    safe_on = harvest_days(state, reader.today).latest_on
    if harvested_on is not None:
        words = sentence("Harvested %(day)s", day=reader.day(harvested_on))
        yield Shape.HARVEST, harvested_on, words
    elif failed_on is not None:
        words = sentence("Failed %(day)s", day=reader.day(failed_on))
        yield Shape.HARVEST, failed_on, words
    elif safe_on is not None:
        words = sentence("Harvest not before %(day)s", day=reader.day(safe_on))
        yield Shape.HARVEST, safe_on, words


def _sown(state: PlotState, day: str) -> Sentence:
    if counts_from_planting_out(state):
        return sentence("Planted out %(day)s", day=day)
    return sentence("Sown %(day)s", day=day)


def _up(state: PlotState, day: str) -> Sentence:
    if state.plan.emergence_assumed:
        return sentence("Plants up %(day)s, assumed", day=day)
    return sentence("Plants up %(day)s", day=day)
