"""What was told of a planting: its facts and its holds, with who said so and when."""

from dataclasses import dataclass

from service.confirmations.plot_state import PlotState
from service.web.planting_sheet import Reader, code_of
from service.web.planting_words import FLAGS, fact_words, told_by
from service.web.sentence import Sentence, sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class FactLine:
    """One thing that was said, by whom, and what a person should look at in it."""

    words: Sentence
    told: Sentence
    flag: Sentence | None


def fact_lines(state: PlotState, reader: Reader) -> list[FactLine]:
    """Return what was said about a planting, newest first."""
    return [
        FactLine(
            words=fact_words(
                fact.kind,
                day=reader.day(fact.on),
                code=code_of(state, fact.dose_number or 0),
                litres=fact.litres,
            ),
            told=told_by(fact.source, fact.noted_by, at=reader.moment(fact.recorded_at)),
            flag=None if fact.flag is None else FLAGS[fact.flag],
        )
        for fact in reversed(state.bundle.facts)
    ]


def hold_lines(state: PlotState, reader: Reader) -> list[FactLine]:
    """Return the holds of a planting, earliest first."""
    return [
        FactLine(
            words=sentence(
                "No dose from %(first)s to %(last)s",
                first=reader.day(hold.first_on),
                last=reader.day(hold.last_on),
            ),
            told=told_by(hold.source, hold.noted_by, at=reader.moment(hold.recorded_at)),
            flag=None,
        )
        for hold in state.bundle.holds
    ]
