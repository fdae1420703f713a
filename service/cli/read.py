"""`furrowbell read`: what a reply would mean, without settings or database."""

import json
import re
from collections.abc import Callable
from datetime import date
from typing import TypedDict, TypeVar, Unpack

import click
from typing_extensions import override

from service.cli.refusal import RefusingCommand
from service.cli.values import IsoDate
from service.errors import RefusedError
from service.inbound.codes import LETTERS
from service.inbound.reply_codes import (
    Context,
    DateOrder,
    DoseRef,
    Item,
    Question,
    Reading,
    read_reply,
)
from service.inbound.words import base_language, languages

_MOST_DOSES = 9
_CAN = re.compile(r"[0-9]{1,3}")
_DOSE = re.compile(r"([A-Za-z])([1-9])")

Part = TypeVar("Part")


class ReadOptions(TypedDict):
    """The command's options as click hands them over."""

    text: str
    language: str
    plots: tuple[str, ...]
    open_doses: tuple[DoseRef, ...]
    done_doses: tuple[DoseRef, ...]
    cans: tuple[int, ...]
    doses: int
    received: date
    shared: bool
    unknown: bool
    sender: str | None
    question: str | None
    question_plot: str | None
    date_order: str
    output_format: str


class Listed(click.ParamType[tuple[Part, ...]]):
    """Several values with commas between them, or none."""

    name = "list"

    def __init__(self, part_of: Callable[[str], Part | None], example: str) -> None:
        self._part_of = part_of
        self._example = example

    @override
    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[Part, ...]:
        if isinstance(value, tuple):
            return value
        found: list[Part] = []
        for text in filter(None, (text.strip() for text in str(value).split(","))):
            part = self._part_of(text)
            if part is None:
                self.fail(f"{text!r} is not understood; write them like {self._example}.")
            found.append(part)
        return tuple(found)


def _plot(text: str) -> str | None:
    return text.upper() if text.casefold() in LETTERS else None


def _dose(text: str) -> DoseRef | None:
    found = _DOSE.fullmatch(text)
    if found is None or _plot(found[1]) is None:
        return None
    return DoseRef(plot=found[1].upper(), number=int(found[2]))


def _can(text: str) -> int | None:
    return int(text) if _CAN.fullmatch(text) else None


@click.command("read", cls=RefusingCommand)
@click.argument("text")
@click.option("--language", required=True, help="The household's language, as sw.")
@click.option("--plots", type=Listed(_plot, "A,D"), default="", help="The phone's plot letters.")
@click.option("--open", "open_doses", type=Listed(_dose, "A3,D2"), default="", help="Doses due.")
@click.option("--done", "done_doses", type=Listed(_dose, "A1,A2"), default="", help="Doses noted.")
@click.option("--cans", type=Listed(_can, "3,4"), default="", help="Numbers of cans being filled.")
@click.option("--doses", type=click.IntRange(1, _MOST_DOSES), default=7, help="Doses a planting.")
@click.option("--received", type=IsoDate(), required=True, help="The farm day it came.")
@click.option("--shared", is_flag=True, help="Several households use the phone.")
@click.option("--unknown", is_flag=True, help="Nobody is enrolled with the number.")
@click.option("--sender", help="A sender that is not an ordinary phone number.")
@click.option("--question", type=click.Choice([q.value for q in Question]), help="What was asked.")
@click.option("--question-plot", help="The plot asked about; the first one if not given.")
@click.option("--date-order", type=click.Choice([o.value for o in DateOrder]), default="dm")
@click.option("--format", "output_format", type=click.Choice(["text", "json"]), default="text")
def read_command(**given: Unpack[ReadOptions]) -> None:
    """Say what a text from a phone would mean; nothing is recorded."""
    reading = read_reply(given["text"], _context(given))
    click.echo(_as_json(reading) if given["output_format"] == "json" else _as_line(reading))


def _context(given: ReadOptions) -> Context:
    language, plots = given["language"], given["plots"]
    if base_language(language) not in languages():
        choices = ", ".join(languages())
        raise RefusedError("usage", f"No words for language {language!r}; choose one of {choices}.")
    for dose in (*given["open_doses"], *given["done_doses"]):
        if dose.plot not in plots:
            raise RefusedError("usage", f"Add plot {dose.plot} to --plots; a dose names it.")
        if dose.number > given["doses"]:
            named = f"{dose.plot}{dose.number}"
            raise RefusedError("usage", f"Raise --doses or leave out {named}, which is above it.")
    if set(given["open_doses"]) & set(given["done_doses"]):
        raise RefusedError("usage", "Name each dose in --open or in --done, not in both.")
    asked = _question_plot(given["question_plot"], plots)
    return Context(
        language=language,
        plots=plots,
        open=given["open_doses"],
        done=given["done_doses"],
        cans=given["cans"],
        doses=given["doses"],
        received_on=given["received"],
        shared=given["shared"],
        unknown=given["unknown"],
        sender=given["sender"],
        question=Question(given["question"]) if given["question"] else None,
        question_plot=asked,
        date_order=DateOrder(given["date_order"]),
    )


def _question_plot(named: str | None, plots: tuple[str, ...]) -> str | None:
    if named is None:
        return plots[0] if plots else None
    if named.upper() not in plots:
        raise RefusedError("usage", f"Add plot {named} to --plots; the question names it.")
    return named.upper()


def _as_json(reading: Reading) -> str:
    items = [
        {"plot": item.plot, "dose": item.dose, "can": item.can, "days_ago": item.days_ago}
        for item in reading.items
    ]
    answer = {"meaning": reading.meaning.value, "items": items, "hint": reading.hint}
    return json.dumps(answer, ensure_ascii=False)


def _as_line(reading: Reading) -> str:
    named = ", ".join(map(_item_words, reading.items))
    hint = f"({reading.hint})" if reading.hint else ""
    return " ".join(filter(None, (reading.meaning.value, named, hint)))


def _item_words(item: Item) -> str:
    name = f"can {item.can}" if item.can is not None else f"{item.plot or ''}{item.dose or ''}"
    match item.days_ago:
        case 0:
            return name
        case 1:
            return f"{name} yesterday"
        case _:
            return f"{name} {item.days_ago} days ago"
