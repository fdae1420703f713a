"""Why the days of a season are as they are, in the words of the pages."""

from service.agronomy.reasons import About, Chain
from service.agronomy.stock_chain import explain_harvest, explain_planned_harvest
from service.agronomy.withholding import DoseStanding
from service.records.fields import DoseState
from service.web.asked import Asked
from service.web.planting_sheet import doses_left, harvest_days
from service.web.reason_words import words_of
from service.web.reasons import CUTOFF, SEASON, Answer, Cited
from service.web.sentence import Sentence, sentence
from service.web.source_words import origins_of


def day_answers(asked: Asked) -> tuple[Answer, ...]:
    """Return why the days of a season are as they are, in their order."""
    return (
        _answer(asked, "sown", sentence("Sown or planted out"), asked.why.of(About.PLANTED)),
        _answer(asked, "up", sentence("Plants up"), asked.why.of(About.EMERGENCE)),
        _answer(asked, SEASON.anchor, SEASON.heading, asked.why.of(About.SEASON)),
        _first_harvest(asked),
        _answer(asked, CUTOFF.anchor, CUTOFF.heading, asked.why.of(About.CUTOFF)),
        _harvest(asked),
    )


def _answer(asked: Asked, anchor: str, heading: Sentence, chain: Chain) -> Answer:
    return Answer(
        anchor=anchor,
        heading=heading,
        said=words_of(chain, asked.naming),
        origins=origins_of(chain),
    )


def _first_harvest(asked: Asked) -> Answer:
    # the length of the season stands in a section of its own, right before
    season, chain = asked.why.of(About.SEASON), asked.why.of(About.FIRST_HARVEST)
    own = tuple(step for step in chain if step not in season)
    same = bool(origins_of(own)) and origins_of(own) == origins_of(season)
    return Answer(
        anchor="first-harvest",
        heading=sentence("First harvest expected"),
        said=words_of(own, asked.naming),
        origins=() if same else origins_of(own),
        cited=(Cited(section=SEASON, heads=()),) if same else (),
    )


def _harvest(asked: Asked) -> Answer:
    known = explain_harvest(_standings(asked), asked.reader.today)
    left, days = doses_left(asked.state), harvest_days(asked.state, asked.reader.today)
    planned: Chain = ()
    if left:
        last = max(left, key=lambda row: row.due_on)
        planned = explain_planned_harvest(last.number, last.due_on, safe_on=days.safe_on)
    said = words_of(known, asked.naming)
    if not known:
        said = (sentence("No dose has been given or fallen due so far."),)
    return Answer(
        anchor="harvest",
        heading=sentence("Earliest safe harvest"),
        said=(*said, *words_of(planned, asked.naming)),
        origins=origins_of((*known, *planned)),
    )


def _standings(asked: Asked) -> list[DoseStanding]:
    return [
        DoseStanding(
            number=row.number,
            due_on=row.due_on,
            closes_on=row.closes_on,
            given_on=asked.state.reports.given.get(row.number),
            known_not_done=row.state in (DoseState.NOT_DONE, DoseState.DROPPED),
        )
        for row in asked.state.bundle.doses
    ]
