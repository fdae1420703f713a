"""Every refusal of the layers below has its code here, so that no form meets one unprepared."""

import ast
from pathlib import Path

import pytest

import service
from service.enrolment.faults import FaultCode
from service.enrolment.planting_facts import FIELD_OF_REFUSAL
from service.messages.phone import SENTENCES

ROOT = Path(service.__file__).parent
NOT_OF_A_FORM = {"nitrogen", "cold-store", "dates"}  # asked by the command line, or told finer here


def refusals(file: str, error: str) -> set[str]:
    """Return the codes with which a file raises an error."""
    calls = (
        node
        for node in ast.walk(ast.parse((ROOT / file).read_text(encoding="utf-8")))
        if isinstance(node, ast.Call)
    )
    return {
        call.args[0].value
        for call in calls
        if isinstance(call.func, ast.Name)
        and call.func.id == error
        and isinstance(call.args[0], ast.Constant)
        and isinstance(call.args[0].value, str)
    }


def test_every_refusal_of_a_number_has_a_code() -> None:
    assert {FaultCode(code).value for code in SENTENCES} == SENTENCES.keys()


def test_every_refusal_of_a_word_has_a_code() -> None:
    found = refusals("messages/words.py", "WordRefusedError")

    assert len(found) == 5
    assert found <= {code.value for code in FaultCode}


def test_every_refusal_of_a_plan_has_a_code_and_a_field() -> None:
    found = refusals("agronomy/refusals.py", "RefusedError") - NOT_OF_A_FORM

    assert len(found) == 6
    assert found <= {code.value for code in FIELD_OF_REFUSAL}


@pytest.mark.parametrize("file", ["enrolment/entries.py", "enrolment/ground.py"])
def test_a_field_s_name_stands_once_so_that_a_fault_needs_no_more(file: str) -> None:
    names = [
        node.target.id
        for node in ast.walk(ast.parse((ROOT / file).read_text(encoding="utf-8")))
        if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
    ]

    assert len(names) == len(set(names)) > 3
