"""Kinds of value that commands take."""

import re
from datetime import date
from fractions import Fraction

import click
from typing_extensions import override

from service.agronomy.rules import rules

_ISO_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FRACTION = re.compile(r"[0-9]{1,6}/[0-9]{1,6}|[01]?\.[0-9]{1,12}")


class IsoDate(click.ParamType[date]):
    """A date as `2027-03-15`."""

    name = "date"

    @override
    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> date:
        if isinstance(value, date):
            return value
        day = _date(str(value))
        if day is None:
            self.fail(f"{value!r} is no date; write it like 2027-03-15.", param, ctx)
        return day


class SeasonShare(click.ParamType[Fraction]):
    """An exact part of the season as `2/3`, within the least and the most that the rules allow."""

    name = "fraction"

    @override
    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Fraction:
        if isinstance(value, Fraction):
            return value
        least, most = rules().least_share, rules().most_share
        share = _fraction(str(value))
        if share is None or not least <= share <= most:
            self.fail(f"{value!r} is no fraction from {least} to {most}.", param, ctx)
        return share


def _date(text: str) -> date | None:
    if not _ISO_DATE.fullmatch(text):
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def _fraction(text: str) -> Fraction | None:
    if not _FRACTION.fullmatch(text):
        return None
    try:
        return Fraction(text)
    except ZeroDivisionError:
        return None
