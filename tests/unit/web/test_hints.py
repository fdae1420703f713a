"""Every reason for which a report goes to a person has a sentence that says what to do."""

import ast
from collections.abc import Iterator
from pathlib import Path

from service.web.hints import HINTS, UNKNOWN, hint_words

CONFIRMATIONS = Path(__file__).resolve().parents[3] / "service" / "confirmations"


def hints_in(source: str) -> Iterator[str]:
    """Yield the hints that a module gives: each `hint="…"`, and what a `str | None` returns."""
    for node in ast.walk(ast.parse(source)):
        match node:
            case ast.keyword(arg="hint", value=ast.Constant(value=str(hint))):
                yield hint
            case ast.FunctionDef(returns=ast.BinOp() as returns) if (
                ast.unparse(returns) == "str | None"
            ):
                yield from _returned(node)
            case _:
                pass


def _returned(function: ast.AST) -> Iterator[str]:
    for node in ast.walk(function):
        match node:
            case ast.Return(value=ast.Constant(value=str(hint))):
                yield hint
            case _:
                pass


def test_each_hint_of_the_code_has_a_sentence_and_no_sentence_is_left_over() -> None:
    given = {
        hint for path in CONFIRMATIONS.glob("*.py") for hint in hints_in(path.read_text("utf-8"))
    }

    assert {"not due yet", "no dose to hold"} <= given
    assert given == HINTS.keys()


def test_a_hint_nobody_knows_still_says_what_to_do() -> None:
    assert hint_words("something new") == UNKNOWN
