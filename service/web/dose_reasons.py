"""Why a dose has its day, its amount and its state."""

from collections.abc import Iterator
from dataclasses import dataclass

from service.agronomy.calendar import days_between
from service.agronomy.dose_days import pattern_days
from service.agronomy.dosing import dose_cap
from service.agronomy.rules import rules
from service.planning.season_facts import season_facts
from service.records.fields import DoseRow, DoseState
from service.web.planting_sheet import code_of, drop_words, fact_of_dose
from service.web.planting_words import DROPPED_OTHERWISE, told_by
from service.web.reasons import PATTERN, SHARING, TIMING, WATER, Asked, Reason
from service.web.sentence import Sentence, sentence

_CLOSED = (DoseState.NOT_DONE, DoseState.NOT_KNOWN)


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseReasons:
    """All that can be asked about one dose."""

    anchor: str
    heading: Sentence
    parts: tuple[Reason, ...]


def dose_reasons(asked: Asked) -> tuple[DoseReasons, ...]:
    """Return why each dose is as it is, by number."""
    return tuple(
        DoseReasons(
            anchor=f"dose-{row.number}",
            heading=sentence(
                "%(code)s: dose %(number)s of the %(doses)s of a full season",
                code=code_of(asked.state, row.number),
                number=row.number,
                doses=rules().doses_in_pattern,
            ),
            parts=(_day(asked, row), _amount(asked, row), _standing(asked, row)),
        )
        for row in asked.state.bundle.doses
    )


def _day(asked: Asked, row: DoseRow) -> Reason:
    said = [_pattern(asked, row), *_moved(asked, row)]
    if row.state is DoseState.DROPPED:
        said.append(drop_words(row) or DROPPED_OTHERWISE)
    if row.state is DoseState.PLANNED:
        said.append(sentence("Open up to %(day)s.", day=asked.reader.day(row.closes_on)))
    return Reason(
        anchor=f"dose-{row.number}-day",
        heading=sentence("Day"),
        said=tuple(said),
        cited=(PATTERN, TIMING) if len(said) > 1 else (PATTERN,),
    )


def _pattern(asked: Asked, row: DoseRow) -> Sentence:
    day, up_on = asked.reader.day, asked.state.plan.emergence_on
    on = pattern_days(asked.sown_on, up_on)[row.number]
    if row.number == 1:
        return sentence("Dose 1 goes with sowing or planting out: %(day)s.", day=day(on))
    days, up, on_day = days_between(up_on, on), day(up_on), day(on)
    if asked.state.plan.emergence_assumed:
        return sentence(
            "%(days)s days after plants are up on %(up)s (assumed): %(day)s.",
            days=days,
            up=up,
            day=on_day,
        )
    return sentence(
        "%(days)s days after plants were up on %(up)s: %(day)s.", days=days, up=up, day=on_day
    )


def _moved(asked: Asked, row: DoseRow) -> Iterator[Sentence]:
    day = asked.reader.day
    if row.number in asked.state.reports.given:
        yield sentence("It was done on %(day)s.", day=day(row.due_on))
        return
    usual_on = pattern_days(asked.sown_on, asked.state.plan.emergence_on)[row.number]
    if row.due_on == usual_on or row.state is DoseState.DROPPED:
        return
    yield sentence("Its day is now %(day)s.", day=day(row.due_on))
    if row.state in _CLOSED:
        yield sentence("Its days have passed, so it keeps the day it had.")
        return
    for hold in asked.state.bundle.holds:
        if hold.last_on >= usual_on and hold.first_on < row.due_on:
            yield sentence(
                "No dose from %(first)s to %(last)s: rain, or a person looks first.",
                first=day(hold.first_on),
                last=day(hold.last_on),
            )
    before = [
        other.due_on
        for other in asked.state.bundle.doses
        if other.state is not DoseState.DROPPED and other.due_on < row.due_on
    ]
    gap = rules().min_gap_days
    if before and days_between(max(before), usual_on) < gap:
        yield sentence(
            "At least %(days)s days lie between it and the dose of %(day)s.",
            days=gap,
            day=day(max(before)),
        )


def _amount(asked: Asked, row: DoseRow) -> Reason:
    if row.state is DoseState.DROPPED:
        said = [sentence("A dropped dose takes nothing: its litres go to the doses to come.")]
    else:
        said = [*_litres(asked, row), _water(asked, row)]
    return Reason(
        anchor=f"dose-{row.number}-amount",
        heading=sentence("Amount"),
        said=tuple(said),
        cited=(SHARING, WATER) if asked.state.bundle.planting.water_ratio else (SHARING,),
    )


def _litres(asked: Asked, row: DoseRow) -> Iterator[Sentence]:
    target = asked.state.plan.target_litres
    told = season_facts(asked.state.bundle).told_litres
    if row.number in told:
        yield sentence(
            "%(litres)s L of %(what)s: told, given or past, so it stays.",
            litres=row.urine_l,
            what=asked.what,
        )
        return
    live = [other for other in asked.state.bundle.doses if other.state is not DoseState.DROPPED]
    free = [other for other in live if other.number not in told]
    earlier = [other for other in free if other.number < row.number]
    taken = [other for other in live if other.number in told] + earlier
    rest = max(0.0, target - sum(other.urine_l for other in taken))
    left = len(free) - len(earlier)
    yield sentence(
        "%(rest)s L of the season's %(total)s L are left. Doses to share it: %(doses)s. Each:"
        " %(each)s L.",
        rest=rest,
        total=target,
        doses=left,
        each=rest / left,
    )
    if rest / left > dose_cap(target):
        yield sentence("No dose holds more than %(cap)s L.", cap=dose_cap(target))
    yield sentence("Rounded down: %(litres)s L of %(what)s.", litres=row.urine_l, what=asked.what)


def _water(asked: Asked, row: DoseRow) -> Sentence:
    ratio = asked.state.bundle.planting.water_ratio
    if not ratio:
        return sentence("No water.")
    return sentence("Water: %(ratio)s parts to one, %(water)s L.", ratio=ratio, water=row.water_l)


def _standing(asked: Asked, row: DoseRow) -> Reason:
    said = [_standing_words(asked, row)]
    fact = fact_of_dose(asked.state, row)
    if fact is not None:
        at = asked.reader.moment(fact.recorded_at)
        said.append(sentence("Told %(by)s.", by=told_by(fact.source, fact.noted_by, at=at)))
    return Reason(anchor=f"dose-{row.number}-state", heading=sentence("State"), said=tuple(said))


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
