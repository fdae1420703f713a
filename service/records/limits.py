"""The limits of what is entered, read once from the table beside this file."""

import re
import tomllib
from dataclasses import dataclass
from datetime import date
from importlib.resources import files
from typing import Any

from service.agronomy.rules import rules

CODE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")  # short names that people say and type


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """The numbers that may be entered, both ends included; `blank` stands for an empty cell."""

    at_least: float
    at_most: float
    blank: float | None
    whole: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What may be entered: numbers by column, characters by column, minutes after midnight."""

    numbers: dict[str, Range]
    characters: dict[str, int]
    remind_from: str
    remind_to: str
    remind_blank: str
    planted_days: int
    first_asked: date
    area_hold_days: int
    rows: int
    bytes: int


def _load() -> Limits:
    text = files("service.records").joinpath("limits.toml").read_text(encoding="utf-8")
    table: dict[str, Any] = tomllib.loads(text)
    return Limits(
        numbers={name: _range(row) for name, row in table["numbers"].items()} | _of_the_plan(),
        characters={name: int(count) for name, count in table["texts"].items()},
        remind_from=table["times"]["remind_from"],
        remind_to=table["times"]["remind_to"],
        remind_blank=table["times"]["remind_blank"],
        planted_days=table["days"]["planted_from_today"],
        first_asked=table["days"]["first_asked"],
        area_hold_days=table["days"]["area_hold"],
        rows=table["file"]["rows"],
        bytes=table["file"]["bytes"],
    )


def _range(row: dict[str, Any]) -> Range:
    return Range(
        at_least=row["at_least"],
        at_most=row["at_most"],
        blank=row.get("blank"),
        whole=row.get("whole", False),
    )


def _of_the_plan() -> dict[str, Range]:
    plan = rules()
    return {
        "area_m2": Range(
            at_least=plan.least_area_m2, at_most=plan.most_area_m2, blank=None, whole=False
        ),
        "water_ratio": Range(at_least=0, at_most=plan.most_water_ratio, blank=None, whole=False),
        "n_g_per_litre": Range(
            at_least=plan.least_measured_g_per_litre,
            at_most=plan.most_measured_g_per_litre,
            blank=None,
            whole=False,
        ),
    }


LIMITS = _load()
