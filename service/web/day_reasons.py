"""Why the days of a season are as they are."""

from datetime import date
from math import floor

from service.agronomy.calendar import MONTH_DAYS, add_days
from service.agronomy.crops import crop
from service.agronomy.cutoff import CutoffRule
from service.agronomy.rules import rules
from service.agronomy.tables import Origin
from service.web.planting_sheet import (
    code_of,
    counts_from_planting_out,
    doses_left,
    harvest_days,
)
from service.web.reasons import Asked, Reason, month_origin
from service.web.sentence import Sentence, sentence


def day_reasons(asked: Asked) -> tuple[Reason, ...]:
    """Return why the days of a season are as they are, in their order."""
    return (
        _sown(asked),
        _up(asked),
        _season(asked),
        _first_harvest(asked),
        _cutoff(asked),
        _harvest(asked),
    )


def _sown(asked: Asked) -> Reason:
    day = asked.reader.day(asked.sown_on)
    if asked.state.reports.sown_told:
        said = sentence(
            "Told: sown or planted out on %(day)s. The season counts from then.", day=day
        )
    else:
        said = sentence(
            "Entered for this planting: %(day)s. Nobody has told yet that it was done.", day=day
        )
    return Reason(anchor="sown", heading=sentence("Sown or planted out"), said=(said,))


def _up(asked: Asked) -> Reason:
    plan, day = asked.state.plan, asked.reader.day
    heading = sentence("Plants up")
    if not plan.emergence_assumed:
        said = sentence("Told: most plants were up on %(day)s.", day=day(plan.emergence_on))
        return Reason(anchor="up", heading=heading, said=(said,))
    row = crop(asked.state.bundle.planting.crop)
    sown, on = day(asked.sown_on), day(plan.emergence_on)
    if counts_from_planting_out(asked.state):
        said = sentence(
            "Assumed, as is usual for %(crop)s: plants grow on %(days)s days after planting out on"
            " %(sown)s, on %(day)s.",
            crop=asked.crop,
            days=row.emergence_days,
            sown=sown,
            day=on,
        )
    else:
        said = sentence(
            "Assumed, as is usual for %(crop)s, until somebody tells the day: %(days)s days after"
            " sowing on %(sown)s, on %(day)s.",
            crop=asked.crop,
            days=row.emergence_days,
            sown=sown,
            day=on,
        )
    return Reason(anchor="up", heading=heading, said=(said,), origins=(row.origins["emergence"],))


def _season(asked: Asked) -> Reason:
    row, days = crop(asked.state.bundle.planting.crop), asked.state.plan.season_days
    heading = sentence("Length of the season")
    if asked.state.bundle.planting.season_days is not None:
        said = sentence("Entered for this planting: %(days)s days.", days=days)
        return Reason(anchor="season", heading=heading, said=(said,))
    said = sentence("%(days)s days, as is usual for %(crop)s.", days=days, crop=asked.crop)
    return Reason(anchor="season", heading=heading, said=(said,), origins=(row.origins["season"],))


def _first_harvest(asked: Asked) -> Reason:
    planting, day = asked.state.bundle.planting, asked.reader.day
    row, on = crop(planting.crop), day(asked.state.plan.first_harvest_on)
    heading = sentence("First harvest expected")
    origins: tuple[Origin, ...] = (row.origins["first_harvest"],)
    if planting.first_harvest_on is not None:
        said, origins = sentence("Entered for this planting: %(day)s.", day=on), ()
    elif row.picked_repeatedly:
        said = sentence(
            "Picked many times, first %(days)s days after %(sown)s: %(day)s.",
            days=row.first_harvest_days,
            sown=day(asked.sown_on),
            day=on,
        )
    else:
        said = sentence(
            "Harvested once, at the season's end: %(sown)s + %(days)s days is %(day)s.",
            sown=day(asked.sown_on),
            days=asked.state.plan.season_days,
            day=on,
        )
    return Reason(anchor="first-harvest", heading=heading, said=(said,), origins=origins)


def _cutoff(asked: Asked) -> Reason:
    plan, day, share = asked.state.plan, asked.reader.day, rules().least_share
    part, written = floor(share * plan.season_days), f"{share.numerator}/{share.denominator}"
    binds = {
        CutoffRule.ONE_MONTH: sentence("The one-month rule binds: it is the earlier day."),
        CutoffRule.SHARE_OF_SEASON: sentence("The share of the season binds: no day is earlier."),
    }
    said = (
        sentence(
            "Share of the season: %(share)s of %(days)s days, rounded down, is %(part)s days after"
            " %(sown)s: %(day)s.",
            share=written,
            days=plan.season_days,
            part=part,
            sown=day(asked.sown_on),
            day=day(add_days(asked.sown_on, part)),
        ),
        sentence(
            "One month: %(days)s days before the first harvest on %(harvest)s: %(day)s.",
            days=MONTH_DAYS,
            harvest=day(plan.first_harvest_on),
            day=day(add_days(plan.first_harvest_on, -MONTH_DAYS)),
        ),
        binds[plan.cutoff_rule],
    )
    return Reason(
        anchor="cutoff",
        heading=sentence("Last day for a dose"),
        said=said,
        origins=(rules().origins["season_share"], month_origin()),
    )


def _harvest(asked: Asked) -> Reason:
    day = asked.reader.day
    days = harvest_days(asked.state, asked.reader.today)
    said = []
    if days.safe_on is None:
        said.append(sentence("No dose has been given or fallen due so far."))
    else:
        said += [
            _last_dose(asked, add_days(days.safe_on, -MONTH_DAYS)),
            sentence("%(days)s days later is %(day)s.", days=MONTH_DAYS, day=day(days.safe_on)),
        ]
    if days.planned_on is not None:
        said.append(
            sentence(
                "Doses are left, the last on %(last)s. If they are given, wait until %(day)s.",
                last=day(max(row.due_on for row in doses_left(asked.state))),
                day=day(days.planned_on),
            )
        )
    return Reason(
        anchor="harvest",
        heading=sentence("Earliest safe harvest"),
        said=tuple(said),
        origins=(month_origin(),),
    )


def _last_dose(asked: Asked, last_on: date) -> Sentence:
    given = [number for number, on in asked.state.reports.given.items() if on == last_on]
    day = asked.reader.day(last_on)
    if given:
        code = code_of(asked.state, given[-1])
        return sentence("The last dose given is %(code)s, on %(day)s.", code=code, day=day)
    open_to = [row.number for row in asked.state.bundle.doses if row.closes_on == last_on]
    code = code_of(asked.state, open_to[-1] if open_to else 0)
    return sentence(
        "Nobody has told that %(code)s was not done, so it may be given up to %(day)s.",
        code=code,
        day=day,
    )
