"""Every reason for which a person must read a text has words, and every decision has."""

import ast
from datetime import date
from pathlib import Path

import pytest

from service.inbound.reply_codes import Item, Meaning, Reading, read_reply
from service.inbound.settling import Settling
from service.web.hints import HINTS
from service.web.reading_words import (
    SETTLINGS,
    UNCLEAR,
    WHY,
    Days,
    decided_words,
    reading_words,
    why_words,
)
from tests.reply_vectors import CONTEXTS, OWN, REFERENCE, vectors

INBOUND = Path(__file__).parents[3] / "service" / "inbound"
DAYS = Days(came_on=date(2027, 3, 19), today=date(2027, 3, 20))
FAULT_TABLES = "grammar.py"


def written_hints() -> set[str]:
    """Return the reasons that the code of service/inbound writes out."""
    found: set[str] = set()
    for path in INBOUND.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            found |= _hints_in(node, in_tables=path.name == FAULT_TABLES)
    return found


def _hints_in(  # noqa: PLR0911 -- one line a way of writing a reason
    node: ast.AST, *, in_tables: bool
) -> set[str]:
    match node:
        case ast.Call(func=ast.Name(id="_to_read"), args=[ast.Constant(value=str(hint))]):
            return {hint}
        case ast.Call(func=ast.Name(id="hand_over"), args=[_, ast.Constant(value=str(hint))]):
            return {hint}
        case ast.Tuple(elts=[ast.Attribute(attr="UNFIT"), ast.Constant(value=str(hint))]):
            return {hint}
        case ast.Tuple(elts=[_, ast.Name(id="_READ"), ast.Constant(value=str(hint))]):
            return {hint}
        case ast.Tuple(elts=[ast.Constant(value=str(hint)), _]) if in_tables:
            return {hint}
        case ast.keyword(arg="fault" | "hint", value=ast.Constant(value=str(hint))):
            return {hint}
        case ast.Assign(targets=[ast.Attribute(attr="hint")], value=ast.Constant(value=str(hint))):
            return {hint}
        case _:
            return set()


def test_every_reason_written_in_the_code_has_words() -> None:
    reasons = written_hints() - {"", "thanks", "no"}

    assert {"which job?", "stop+code", "no spoken yes on record", "merged", "dose 0"} <= reasons
    assert reasons - WHY.keys() - HINTS.keys() == set()


def test_every_reason_that_a_text_was_ever_given_has_words() -> None:
    readings = [
        read_reply(vector.text, CONTEXTS[vector.context])
        for vector in vectors(REFERENCE) + vectors(OWN)
    ]
    reasons = {item.hint for item in readings if item.meaning is Meaning.NEEDS_READING}

    assert len(reasons) > 20
    assert {reason for reason in reasons if why_words(reason) is UNCLEAR} == set()


def test_no_words_stand_for_a_reason_that_no_text_is_given() -> None:
    assert WHY.keys() - written_hints() - {"join", "which can?", "can number"} == set()


def test_a_reason_of_a_report_that_cannot_be_has_its_own_words() -> None:
    assert why_words("before sowing") is HINTS["before sowing"]
    assert why_words("something new") is UNCLEAR


@pytest.mark.parametrize("meaning", Meaning)
def test_every_meaning_has_words(meaning: Meaning) -> None:
    item = Item(plot="A", dose=3 if meaning in {Meaning.DONE, Meaning.NOT_DONE} else None, can=3)

    assert reading_words(Reading(meaning=meaning), DAYS).text
    assert reading_words(Reading(meaning=meaning, items=(item,)), DAYS).text


@pytest.mark.parametrize(
    ("kept", "text"),
    [
        pytest.param(None, "Nothing to do", id="nothing kept"),
        pytest.param("go-on", "Go on with texts", id="texts go on"),
        pytest.param("done A3-0", "%(code)s was done %(when)s", id="a dose"),
        pytest.param("not-done A3-0 D2-0", "%(codes)s are not done", id="two doses"),
        pytest.param("gibberish", "It is not sure what it means.", id="what nobody wrote"),
    ],
)
def test_a_decision_is_said_from_what_was_kept(kept: str | None, text: str) -> None:
    assert decided_words(kept, DAYS).text == text


def test_every_decision_has_words() -> None:
    assert SETTLINGS.keys() == set(Settling)
