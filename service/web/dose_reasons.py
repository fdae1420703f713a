"""Why a dose has its day, its amount and its state, in the words of the pages."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isclose

from service.agronomy.amount_chain import dropped_amount_chain
from service.agronomy.reasons import About, Chain, RuleId
from service.records.fields import DoseRow, DoseState
from service.web.asked import Asked
from service.web.planting_sheet import code_of, day_of, doses_left, drop_words, fact_of_dose
from service.web.planting_words import DROPPED_OTHERWISE, told_by
from service.web.reason_words import words, words_of
from service.web.reasons import Answer, cited_by, uncited_origins
from service.web.sentence import Sentence, sentence

_NO_MORE = sentence("It is no longer in the plan.")


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseAnswers:
    """All that can be asked about one dose."""

    anchor: str
    heading: Sentence
    parts: tuple[Answer, ...]


def dose_answers(asked: Asked) -> tuple[DoseAnswers, ...]:
    """Return why each dose is as it is, by number."""
    return tuple(
        DoseAnswers(
            anchor=f"dose-{row.number}",
            heading=_heading(asked, row),
            parts=(_day(asked, row), _amount(asked, row), _standing(asked, row)),
        )
        for row in asked.state.bundle.doses
    )


def _heading(asked: Asked, row: DoseRow) -> Sentence:
    code, plan = code_of(asked.state, row.number), asked.state.plan
    if not asked.why.of(About.DOSE_AMOUNT, row.number):
        return sentence("%(code)s: no longer in the plan", code=code)
    return sentence(
        "%(code)s: dose %(number)s of the %(doses)s of a full season",
        code=code,
        number=row.number,
        doses=len(plan.doses) + len(plan.dropped),
    )


def _day(asked: Asked, row: DoseRow) -> Answer:
    day = asked.why.of(About.DOSE_DAY, row.number)
    dropped = asked.why.of(About.DOSE_DROP, row.number)
    closing: Chain = ()
    if row.state is DoseState.PLANNED:
        closing = asked.why.of(About.DOSE_CLOSES, row.number)[-1:]  # the rule that binds
    said = [*words_of((*day, *dropped), asked.naming), *_other_day(asked, row, day)]
    if row.state is DoseState.DROPPED and not dropped:
        said.append(drop_words(row) or DROPPED_OTHERWISE)
    reasons = (*day, *dropped, *closing)
    return Answer(
        anchor=f"dose-{row.number}-day",
        heading=sentence("Day"),
        said=(*said, *words_of(closing, asked.naming)),
        cited=cited_by(reasons),
        origins=uncited_origins(reasons),
    )


def _other_day(asked: Asked, row: DoseRow, chain: Chain) -> Iterator[Sentence]:
    shown_on = day_of(asked.state, row)
    if not chain:
        yield _NO_MORE
    elif chain[-1].values["on"] == shown_on:
        return
    if row.state is DoseState.PLANNED and chain:
        yield sentence(
            "%(day)s stands on the page until the next step, within some minutes.",
            day=asked.reader.day(shown_on),
        )
    else:
        yield sentence("Its day was %(day)s.", day=asked.reader.day(shown_on))


def _amount(asked: Asked, row: DoseRow) -> Answer:
    reasons = asked.why.of(About.DOSE_AMOUNT, row.number)
    if row.state is DoseState.DROPPED:
        reasons = dropped_amount_chain()
        said = words_of(reasons, asked.naming)
    else:
        poured = (*reasons, *_from_store(asked, row))
        said = (
            *words_of(poured, asked.naming),
            *_other_litres(asked, row, poured),
            *_water(asked, row),
        )
        reasons = (*poured, *asked.why.of(About.DOSE_WATER, row.number))
    return Answer(
        anchor=f"dose-{row.number}-amount",
        heading=sentence("Amount"),
        said=said,
        cited=cited_by(reasons),
        origins=uncited_origins(reasons),
    )


def _from_store(asked: Asked, row: DoseRow) -> Chain:
    if row.state is not DoseState.PLANNED or row.told:
        return ()
    if row is doses_left(asked.state)[0]:
        return asked.stock_chain(row.number)
    if not row.short_l:  # what lies further ahead stands in the turns of the whole household
        return ()
    return tuple(step for step in asked.stock_chain(row.number) if step.rule is RuleId.SHORT)


def _other_litres(asked: Asked, row: DoseRow, chain: Chain) -> Iterator[Sentence]:
    if not asked.why.of(About.DOSE_AMOUNT, row.number):
        yield _NO_MORE
    if row.told and row.short_l:
        yield sentence(
            "The cans lacked %(litres)s L of its share when it was told.", litres=row.short_l
        )
    named = [step.values.get("litres") for step in chain]
    if not any(isinstance(litres, float) and isclose(litres, row.urine_l) for litres in named):
        yield sentence(
            "%(litres)s L stand on the page until the next step, within some minutes.",
            litres=row.urine_l,
        )


def _water(asked: Asked, row: DoseRow) -> Iterator[Sentence]:
    for step in asked.why.of(About.DOSE_WATER, row.number):
        if step.rule is RuleId.IN_SPAN:
            yield words(step, asked.naming)
        if step.rule is RuleId.WATER and row.water_l:
            poured = replace(step, values={**step.values, "water_litres": row.water_l})
            yield words(poured, asked.naming)
    if not row.water_l:
        yield sentence("No water.")


def _standing(asked: Asked, row: DoseRow) -> Answer:
    said = [_standing_words(asked, row)]
    fact = fact_of_dose(asked.state, row)
    if fact is not None:
        at = asked.reader.moment(fact.recorded_at)
        said.append(sentence("Told %(by)s.", by=told_by(fact.source, fact.noted_by, at=at)))
    return Answer(anchor=f"dose-{row.number}-state", heading=sentence("State"), said=tuple(said))


def _standing_words(asked: Asked, row: DoseRow) -> Sentence:
    match row.state:
        case DoseState.PLANNED if row.due_on > asked.reader.today:
            return sentence("Due: its day is still to come.")
        case DoseState.PLANNED:
            return sentence("Due and open: nobody has told yet whether it was done.")
        case DoseState.DONE:
            return sentence("Done: somebody told so. The first report counts.")
        case DoseState.NOT_DONE:
            return sentence("Not done: somebody told so. A dose left out is not made up.")
        case DoseState.NOT_KNOWN:
            return sentence(
                "Not known: its days have passed and nobody has told. That is not the same as"
                " not done, so it counts as perhaps given."
            )
        case DoseState.DROPPED:
            return sentence("Dropped: %(why)s", why=drop_words(row) or DROPPED_OTHERWISE)
