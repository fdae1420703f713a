"""Print values in one language: days, litres, crops, tips, the pace, and the jobs of a digest.

Values come as JSON keeps them, since the queue stores them. Amounts are cut, never rounded up,
so that no text allows more than was planned.
"""

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from decimal import ROUND_DOWN, Decimal
from functools import lru_cache, reduce

from babel import Locale
from babel.dates import format_date
from babel.numbers import format_decimal

from gateway_adapters.gsm7 import fold
from gateway_adapters.segments import split
from service.messages.kinds import DAYS
from service.messages.language import Language

DAY_PATTERN = "EEE d MMM"
LITRES_PATTERN = "0.##"
NOISE, STEP = Decimal("0.000001"), Decimal("0.01")  # sums of floats miss by less than the first

PLOTS_SEPTETS = 30  # two plots with the longest crops; more plots stand as letters alone

Printer = Callable[[Language, object], str]


class ValueRefusedError(ValueError):
    """A value has the wrong shape for its field: a fault in the program."""


def day(language: Language, value: object) -> str:
    """Return an ISO day as people write it, like "Wed 10 Sept"."""
    if not isinstance(value, str):
        raise ValueRefusedError("a day is an ISO string, like 2027-03-15")
    return _printed_day(value, language.locale)


@lru_cache(maxsize=1_000)  # an evening's texts tell of few days
def _printed_day(value: str, locale: Locale) -> str:
    return fold(format_date(date.fromisoformat(value), DAY_PATTERN, locale=locale))


def litres(language: Language, value: object) -> str:
    """Return litres with at most two decimals, cut and not rounded, without trailing zeros."""
    if isinstance(value, bool) or not isinstance(value, int | float | Decimal):
        raise ValueRefusedError("litres are a number")
    return _printed_litres(str(value), language.locale)


@lru_cache(maxsize=10_000)  # the same amounts come again and again
def _printed_litres(value: str, locale: Locale) -> str:
    exact = Decimal(value).quantize(NOISE).quantize(STEP, rounding=ROUND_DOWN)
    if exact < 0:
        raise ValueRefusedError("litres are not negative")
    return fold(format_decimal(exact, format=LITRES_PATTERN, locale=locale))


def whole(language: Language, value: object) -> str:
    """Return a count in Latin digits, since those are on every phone's keys."""
    del language
    if isinstance(value, bool) or not isinstance(value, int) or value < 0:
        raise ValueRefusedError("a count is a whole number, zero or more")
    return str(value)


def words(language: Language, value: object) -> str:
    """Return a name, code or number as it stands, in letters that every phone shows."""
    del language
    if not (isinstance(value, str) and value.strip()):
        raise ValueRefusedError("a word is a text that is not empty")
    return " ".join(fold(value).split())


def crop(language: Language, value: object) -> str:
    """Return the short name of a crop, given by its id."""
    return language.filled(f"crop.{value}", {})


def cost(language: Language, value: object) -> str:
    """Return the sentence on what a reply costs: one of the catalogue's, or the group's own."""
    text_id = f"cost.{value}"
    return language.filled(text_id, {}) if text_id in language.texts else words(language, value)


def per(language: Language, value: object) -> str:
    """Return the pace, from {"cups" or "caps": n, "plants" or "paces": m} or null."""
    if value is None:
        return language.filled("per.none", {})
    if not (isinstance(value, Mapping) and len(value) == len(("measure", "target"))):
        raise ValueRefusedError("a pace names one measure and one target")
    names: list[str] = []
    for plurals in (("cups", "caps"), ("plants", "paces")):
        found = [name for name in plurals if name in value]
        if len(found) != 1:
            raise ValueRefusedError(f"a pace names one of {' and '.join(plurals)}")
        names += found
    measure, target = names
    fields = {"n": whole(language, value[measure]), "m": whole(language, value[target])}
    singular = [name[:-1] if value[name] == 1 else name for name in (measure, target)]
    return language.filled(f"per.{'.'.join(singular)}", fields)


def can(language: Language, value: object) -> str:
    """Return "from can 2", or without a number where only one can is not empty."""
    if value is None:
        return language.filled("can.any", {})
    return language.filled("can.one", {"n": can_numbers(language, value)})


def can_numbers(language: Language, value: object) -> str:
    """Return the numbers of the cans to pour from, the one to empty first before the others."""
    return "+".join(whole(language, number) for number in _many(value))


def listed(language: Language, value: object) -> str:
    """Return letters or codes one after the other."""
    return _joined(language, "list", [words(language, item) for item in _many(value)])


def advice(language: Language, value: object) -> str:
    """Return what to do where the cans hold too little: a name, or {"young": letters}."""
    if isinstance(value, Mapping):
        if value.keys() != {"young"}:
            raise ValueRefusedError("only the advice on young plots names plots")
        return language.filled("short.young", {"order": listed(language, value["young"])})
    return language.filled(f"short.{value}", {})


def plots(language: Language, value: object) -> str:
    """Return plots, from [{"plot": letter, "crop": id or null}], with crops if all fit."""
    rows = [_row(item) for item in _many(value)]
    letters = [words(language, row["plot"]) for row in rows]
    if any(row["crop"] is None for row in rows):
        return _joined(language, "list", letters)
    named = [
        f"{letter} {crop(language, row['crop'])}" for letter, row in zip(letters, rows, strict=True)
    ]
    full = _joined(language, "list", named)
    fits = split(full).length <= PLOTS_SEPTETS
    return full if fits else _joined(language, "list", letters)


def jobs(language: Language, value: object) -> str:
    """Return a digest's jobs, home by home, from rows of label (or null), code, urine, water.

    A row without water (null) is poured neat; one that is `unsure` is only for plants that are up.
    """
    homes: dict[object, list[str]] = {}
    for item in _many(value):
        row = _row(item)
        fields = {
            "code": words(language, row["code"]),
            "urine": litres(language, row["urine"]),
        }
        name = "job" if row["water"] is not None else "job.neat"
        if row["water"] is not None:
            fields["water"] = litres(language, row["water"])
        if row.get("unsure") is True:
            name += ".unsure"
        homes.setdefault(row["label"], []).append(language.filled(name, fields))
    return _joined(
        language, "jobs.homes", [_home(language, label, lines) for label, lines in homes.items()]
    )


PRINTERS: dict[str, Printer] = {
    **dict.fromkeys(DAYS, day),
    **dict.fromkeys(("urine", "water", "given", "max", "short", "litres", "ratio"), litres),
    **dict.fromkeys(("n", "k", "wait", "done", "of"), whole),
    **dict.fromkeys(("group", "phone", "plot", "code", "what"), words),
    **dict.fromkeys(("order", "codes"), listed),
    "advice": advice,
    "cost": cost,
    "crop": crop,
    "per": per,
    "can": can,
    "plots": plots,
    "jobs": jobs,
}


def _home(language: Language, label: object, lines: list[str]) -> str:
    together = _joined(language, "jobs.list", lines)
    if label is None:
        return together
    return language.filled("jobs.home", {"label": words(language, label), "jobs": together})


def _joined(language: Language, text_id: str, items: list[str]) -> str:
    return reduce(
        lambda first, rest: language.filled(text_id, {"first": first, "rest": rest}), items
    )


def _many(value: object) -> Sequence[object]:
    if isinstance(value, str) or not (isinstance(value, Sequence) and value):
        raise ValueRefusedError("a list holds at least one item")
    return value


def _row(item: object) -> Mapping[str, object]:
    if not isinstance(item, Mapping):
        raise ValueRefusedError("an item of this list has named values")
    return item
