"""The mutation check itself: its lists fit the code, and it tells a killed fault from one alive."""

import ast
import tomllib
from collections import Counter
from collections.abc import Mapping
from contextlib import closing
from pathlib import Path

import pytest

from tests.house.repository import ROOT
from tests.mutants.campaign import Project, run_trials
from tests.mutants.check import files_to_change, made_mutants
from tests.mutants.equivalents import EQUIVALENTS, proofs
from tests.mutants.figures import figure_mutants_of
from tests.mutants.mutant import Mutant
from tests.mutants.named import Named, StaleFaultError, named_mutant
from tests.mutants.named_list import NAMED
from tests.mutants.sites import mutants_of
from tests.mutants.trial import Copy, TrialError

REST = "service/rest.py"
SOURCE = "def is_ready(days: int) -> bool:\n    return days >= 30\n"
ONE_DAY_TRIED = "from service.rest import is_ready\n\ndef test_rested():\n    assert is_ready(40)\n"
TWO_DAYS_TRIED = f"{ONE_DAY_TRIED}\ndef test_fresh():\n    assert not is_ready(3)\n"
FROM_ELSEWHERE = """
from importlib.util import module_from_spec, spec_from_file_location
import sys

def test_rested():
    found = spec_from_file_location("service.old_rest", {place!r})
    sys.modules["service.old_rest"] = module_from_spec(found)
"""
RUNNING = ("tests/mutants/guard.py", "tests/mutants/nursery.py")
STAGE = ("tests/test_rest.py",)


def a_project(folder: Path, tests: str) -> Project:
    """Return a project of one rule and one file of tests."""
    texts: Mapping[str, str] = {
        "service/__init__.py": "",
        REST: SOURCE,
        STAGE[0]: tests,
        **{name: (ROOT / name).read_text(encoding="utf-8") for name in RUNNING},
    }
    for name, text in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return Project(
        root=folder, files=[folder / name for name in texts], stages_of=lambda _: [STAGE]
    )


def a_mutant(new: str) -> Mutant:
    """Return the rule of rest with another comparison in it."""
    return next(mutant for mutant in mutants_of(REST, SOURCE) if mutant.new == new)


def said(_: str) -> None:
    """Say nothing."""


def test_every_named_fault_still_fits_the_code() -> None:
    for fault in NAMED:
        mutant = named_mutant(fault, ROOT)
        if mutant.file.endswith(".toml"):
            tomllib.loads(mutant.text)
        else:
            ast.parse(mutant.text)


def test_there_are_thirty_faults_with_a_name_of_their_own() -> None:
    assert len({fault.name for fault in NAMED}) == len(NAMED) >= 30


def test_every_proof_of_an_equivalent_fault_is_about_a_fault_that_can_be_planted() -> None:
    files = {entry.file for entry in EQUIVALENTS}

    planted = Counter(mutant.change for mutant in made_mutants(ROOT, files))

    assert files <= set(files_to_change(ROOT))
    assert {change: planted[change] for change in proofs()} == dict.fromkeys(proofs(), 1)
    assert all(proof.endswith(".") for proof in proofs().values())


def test_a_named_fault_whose_text_is_gone_is_an_error(tmp_path: Path) -> None:
    a_project(tmp_path, ONE_DAY_TRIED)
    fault = Named(name="rest cut short", file=REST, old="days >= 31", new="days >= 30")

    with pytest.raises(StaleFaultError, match="0 times; write 'rest cut short' anew"):
        named_mutant(fault, tmp_path)


def test_a_fault_that_a_test_notices_is_killed_and_another_one_survives(tmp_path: Path) -> None:
    project = a_project(tmp_path, TWO_DAYS_TRIED)
    noticed, alive = a_mutant("not days >= 30"), a_mutant("days > 30")

    verdicts = list(run_trials(project, [noticed, alive], workers=2, say=said))

    fates = {verdict.mutant: verdict.killed_by for verdict in verdicts}
    assert fates == {noticed: "tests/test_rest.py::test_rested", alive: None}
    assert (tmp_path / REST).read_text(encoding="utf-8") == SOURCE


def test_an_endless_fault_is_killed_by_the_limit_of_time(tmp_path: Path) -> None:
    a_project(tmp_path, ONE_DAY_TRIED)
    endless = Mutant(
        file=REST, line_number=1, line="", old="", new="", text="while True:\n    pass\n"
    )

    with closing(Copy(tmp_path)) as copy:
        verdict = copy.try_mutant(endless, [STAGE], limits_s={STAGE: 3.0})

    assert verdict.killed_by == "the limit of time"
    assert (tmp_path / REST).read_text(encoding="utf-8") == SOURCE


def test_tests_that_fail_without_a_fault_say_nothing(tmp_path: Path) -> None:
    project = a_project(tmp_path, "def test_rested():\n    assert False\n")

    with pytest.raises(TrialError, match="fail without a mutant"):
        list(run_trials(project, [a_mutant("days > 30")], workers=1, say=said))


def test_a_run_that_imports_another_copy_of_the_code_says_nothing(tmp_path: Path) -> None:
    elsewhere = str(ROOT / "service" / "clock.py")
    project = a_project(tmp_path, FROM_ELSEWHERE.format(place=elsewhere))

    with pytest.raises(TrialError, match=r"not of the copy: service\.old_rest"):
        list(run_trials(project, [a_mutant("days > 30")], workers=1, say=said))


FAULTS = [
    pytest.param("x = a < b", {"a <= b"}, id="a comparison's edge"),
    pytest.param("x = a > _NOISE", {"not a > _NOISE"}, id="an edge of noise"),
    pytest.param("x = a == b", {"a != b"}, id="equal"),
    pytest.param("x = a + b", {"a - b"}, id="a sum"),
    pytest.param("x = a * b", {"a / b"}, id="a product"),
    pytest.param("x = min(a)", {"max(a)"}, id="least and most"),
    pytest.param("x = floor(a)", {"__import__('math').ceil(a)"}, id="rounding"),
    pytest.param("x = 30", {"31", "29"}, id="a figure"),
    pytest.param("x = 1e-9", set(), id="the noise of arithmetic"),
    pytest.param("x = a and b", {"a or b"}, id="and"),
    pytest.param("x = not a", {"a"}, id="not"),
    pytest.param("x = True", {"False"}, id="a truth value"),
    pytest.param("x = sorted(a)", {"reversed(sorted(a))"}, id="an order"),
    pytest.param("x = next(a, b)", {"next(reversed([*a]), b)"}, id="the first"),
    pytest.param("x += y", {"x -= y"}, id="a running sum"),
    pytest.param("def f() -> bool:\n    return a", {"not a"}, id="an answer"),
    pytest.param("if a:\n    pass", {"False"}, id="a condition"),
    pytest.param("f(a)", {"pass"}, id="a call for its effect"),
    pytest.param("x: int | None", set(), id="an annotation"),
]


@pytest.mark.parametrize(("source", "planted"), FAULTS)
def test_each_operator_plants_its_fault(source: str, planted: set[str]) -> None:
    assert {mutant.new for mutant in mutants_of(REST, source)} == planted


def test_a_table_has_each_figure_one_more_and_one_less() -> None:
    text = '[rest]\ndays = [7, 0.5]  # why\nwarm = true\nsource = "1 page"\n'

    mutants = figure_mutants_of("rest.toml", text)

    assert [mutant.new for mutant in mutants] == [
        "[8, 0.5]",
        "[6, 0.5]",
        "[7, 1.5]",
        "[7, -0.5]",
        "false",
    ]
    assert [mutant.line_number for mutant in mutants] == [2, 2, 2, 2, 3]
