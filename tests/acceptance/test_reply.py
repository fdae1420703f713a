"""Replies as growers text them, through the `read` command."""

import json
from collections.abc import Sequence
from typing import Any

import pytest
from click.testing import CliRunner

from service.cli.read import read_command
from service.inbound.reply_codes import Context, DoseRef, Meaning
from service.inbound.words import languages
from tests.reply_vectors import CONTEXTS, OWN, REFERENCE, K, Vector, vectors

# A phone whose language has no list, and a question about no plot, cannot be said in options.
SAYABLE = [v for v in vectors(REFERENCE) + vectors(OWN) if v.context not in {"XX", "NOPLOT"}]
ON_CODES = {Meaning.DONE, Meaning.NOT_DONE, Meaning.AGAIN, Meaning.NEEDS_READING}


def read(text: str, context: Context) -> dict[str, Any]:
    """Return what the command answers for a text from this phone."""
    result = CliRunner().invoke(read_command, [*options(context), "--", text])
    assert result.exit_code == 0, result.stderr
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def options(context: Context) -> list[str]:
    """Return the options that say this context, all but the texts sent before."""
    written = [
        "--format=json",
        f"--language={context.language}",
        f"--plots={','.join(context.plots)}",
        f"--open={_codes(context.open)}",
        f"--done={_codes(context.done)}",
        f"--cans={','.join(map(str, context.cans))}",
        f"--doses={context.doses}",
        f"--received={context.received_on}",
        f"--date-order={context.date_order}",
    ]
    written += ["--shared"] if context.shared else []
    written += ["--unknown"] if context.unknown else []
    written += [f"--sender={context.sender}"] if context.sender else []
    written += [f"--question={context.question}"] if context.question else []
    return written + ([f"--question-plot={context.question_plot}"] if context.question_plot else [])


def _codes(doses: Sequence[DoseRef]) -> str:
    return ",".join(f"{dose.plot}{dose.number}" for dose in doses)


def expected(vector: Vector) -> list[dict[str, Any]]:
    """Return the items of a vector as the command writes them."""
    return [
        {"plot": item.plot, "dose": item.dose, "can": item.can, "days_ago": item.days_ago}
        for item in vector.items or ()
    ]


@pytest.mark.parametrize(
    "vector", [v for v in SAYABLE if v.meaning in ON_CODES], ids=lambda vector: vector.where
)
def test_a_code_is_understood_in_all_the_ways_growers_write_it(vector: Vector) -> None:
    """R1: each text has one reading, written beside it before the parser was."""
    answer = read(vector.text, CONTEXTS[vector.context])

    assert answer["meaning"] == vector.meaning
    assert answer["items"] == expected(vector)
    assert bool(answer["hint"]) is (vector.meaning is Meaning.NEEDS_READING)


def test_the_texts_tried_are_many_and_most_are_not_ours() -> None:
    """R1: at least 300 texts, 174 of them from the reference list."""
    assert len(SAYABLE) >= 300
    assert len(vectors(REFERENCE)) == 174


@pytest.mark.parametrize(
    ("text", "like"),
    [
        ("a 3 .", "A3"),
        ("23", "A3"),
        ("A٣", "A3"),
        ("Al", "A1"),
        ("23 2", "A3 2"),
        ("a3no", "A3 NO"),
    ],
)
def test_a_code_typed_loosely_is_the_code_typed_well(text: str, like: str) -> None:
    """R1: case, blanks, points, digits alone, native digits and l for 1."""
    assert read(text, K) == read(like, K)


@pytest.mark.parametrize(
    "vector", [v for v in SAYABLE if v.meaning not in ON_CODES], ids=lambda vector: vector.where
)
def test_a_keyword_is_understood(vector: Vector) -> None:
    """R4: sown, up, rain, harvest, can and the requests, in English and the phone's language."""
    answer = read(vector.text, CONTEXTS[vector.context])

    assert answer["meaning"] == vector.meaning
    if vector.items is not None:
        assert answer["items"] == expected(vector)


def test_every_keyword_stands_among_the_texts_tried() -> None:
    """R4: no act is left untried, and neither is any language."""
    tried = {vector.meaning for vector in SAYABLE}
    spoken = {CONTEXTS[vector.context].language for vector in SAYABLE}

    assert tried == set(Meaning)
    assert spoken >= set(languages())


@pytest.mark.parametrize("language", languages())
def test_stop_in_any_language_ends_texts_in_every_household(language: str) -> None:
    """R4: STOP and the Swahili ACHA count whatever the household speaks."""
    for word in ("STOP", "acha", "Arrêt", "ALTO", "pare"):
        assert (
            read(word, CONTEXTS[language.upper()] if language != "sw" else K)["meaning"] == "stop"
        )
