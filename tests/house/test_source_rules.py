"""Each rule of tests/house/source_rules.py, kept by the project and broken by a plant."""

from collections.abc import Callable

import pytest

from tests.house import source_rules
from tests.house.repository import ROOT, python_files

Rule = Callable[[str, str], list[str]]

OURS = ("service", "gateway_adapters")

CASES = [
    pytest.param(source_rules.length_faults, OURS, id="length"),
    pytest.param(source_rules.day_arithmetic_faults, OURS, id="day arithmetic"),
    pytest.param(source_rules.built_text_faults, OURS, id="built texts"),
    pytest.param(source_rules.package_file_faults, OURS, id="package files"),
    pytest.param(source_rules.import_faults, (*OURS, "tests"), id="imports"),
    pytest.param(source_rules.exemption_faults, (*OURS, "tests"), id="exemptions"),
    pytest.param(source_rules.skip_faults, (*OURS, "tests"), id="skips"),
]


@pytest.mark.parametrize(("rule", "folders"), CASES)
def test_every_file_keeps_the_rule(rule: Rule, folders: tuple[str, ...]) -> None:
    files = python_files(ROOT, *folders)

    faults = [
        fault
        for path in files
        for fault in rule(path.relative_to(ROOT).as_posix(), path.read_text(encoding="utf-8"))
    ]

    assert files
    assert faults == []


BROKEN = [
    pytest.param(
        source_rules.length_faults,
        "x = 1\n" * 241,
        "service/a.py has 241 lines, over 240; split off an idea.",
        id="a line too many",
    ),
    pytest.param(
        source_rules.day_arithmetic_faults,
        "x = timedelta(days=1)\n",
        "service/a.py:1 makes a timedelta; call one of its homes.",
        id="a timedelta by name",
    ),
    pytest.param(
        source_rules.day_arithmetic_faults,
        "import datetime\nx = datetime.timedelta(days=1)\n",
        "service/a.py:2 makes a timedelta; call one of its homes.",
        id="a timedelta by module",
    ),
    pytest.param(
        source_rules.day_arithmetic_faults,
        "from datetime import timedelta as span\n",
        "service/a.py:1 renames timedelta; import it by its name.",
        id="a timedelta in disguise",
    ),
    pytest.param(
        source_rules.exemption_faults,
        "import os  # noqa: F401\n",
        "service/a.py:1 is exempt from a rule without a reason after ` -- `.",
        id="noqa without a reason",
    ),
    pytest.param(
        source_rules.exemption_faults,
        "x: int = y  # type: ignore[name-defined]\n",
        "service/a.py:1 is exempt from a rule without a reason after ` -- `.",
        id="type ignore without a reason",
    ),
    pytest.param(
        source_rules.exemption_faults,
        "assert x  # nosec B101\n",
        "service/a.py:1 is exempt from a rule without a reason after ` -- `.",
        id="nosec without a reason",
    ),
    pytest.param(
        source_rules.exemption_faults,
        "if x:  # pragma: no cover -- \n    y()\n",
        "service/a.py:1 is exempt from a rule without a reason after ` -- `.",
        id="pragma with an empty reason",
    ),
    pytest.param(
        source_rules.skip_faults,
        "@pytest.mark.skip\ndef test_a(): ...\n",
        "service/a.py:1 uses skip without `reason=` in words.",
        id="a bare skip",
    ),
    pytest.param(
        source_rules.skip_faults,
        "@pytest.mark.skipif(True, reason='')\ndef test_a(): ...\n",
        "service/a.py:1 uses skipif without `reason=` in words.",
        id="a skip with an empty reason",
    ),
    pytest.param(
        source_rules.skip_faults,
        "peer = pytest.importorskip('peer')\n",
        "service/a.py:1 uses importorskip without `reason=` in words.",
        id="an optional import",
    ),
    pytest.param(
        source_rules.built_text_faults,
        "enqueue(session, text=f'Dose {number}')\n",
        "service/a.py:1 builds a text for enqueue; put it in locales/.",
        id="an f-string",
    ),
    pytest.param(
        source_rules.built_text_faults,
        "outbox.enqueue(session, 'Dose ' + number)\n",
        "service/a.py:1 builds a text for enqueue; put it in locales/.",
        id="a sum of texts",
    ),
    pytest.param(
        source_rules.built_text_faults,
        "enqueue(session, text='Dose {}'.format(number))\n",
        "service/a.py:1 builds a text for enqueue; put it in locales/.",
        id="a formatted text",
    ),
    pytest.param(
        source_rules.import_faults,
        "from __future__ import annotations\n",
        "service/a.py:1 imports from __future__; take it out.",
        id="postponed annotations",
    ),
    pytest.param(
        source_rules.import_faults,
        "import typing\nif typing.TYPE_CHECKING:\n    import os\n",
        "service/a.py:2 imports for types only; import plainly.",
        id="a type-only import",
    ),
]


@pytest.mark.parametrize(("rule", "source", "fault"), BROKEN)
def test_a_broken_rule_is_named(rule: Rule, source: str, fault: str) -> None:
    faults = rule("service/a.py", source)

    assert faults == [fault]


def test_a_package_file_with_a_re_export_is_named() -> None:
    source = '"""The parts."""\n\nfrom service.part import Part\n'

    faults = source_rules.package_file_faults("service/__init__.py", source)

    assert faults == [
        "service/__init__.py holds more than a docstring of one line; take the rest out."
    ]


KEPT = [
    pytest.param(source_rules.length_faults, "x = 1\n" * 240, id="240 lines"),
    pytest.param(
        source_rules.day_arithmetic_faults, "x: timedelta = y\n", id="timedelta as a type"
    ),
    pytest.param(
        source_rules.exemption_faults, "x()  # noqa: S1 -- why\n", id="noqa with a reason"
    ),
    pytest.param(
        source_rules.exemption_faults,
        "x()  # type: ignore[misc]  # -- why\n",
        id="type ignore with a reason",
    ),
    pytest.param(source_rules.exemption_faults, "x = '# noqa'\n", id="noqa inside a string"),
    pytest.param(
        source_rules.skip_faults, "pytest.skip('no peer here')\n", id="a skip with a reason"
    ),
    pytest.param(source_rules.skip_faults, "x = reader.skip\n", id="another thing called skip"),
    pytest.param(
        source_rules.built_text_faults, "enqueue(session, text=text)\n", id="a text passed on"
    ),
]


@pytest.mark.parametrize(("rule", "source"), KEPT)
def test_a_kept_rule_is_left_alone(rule: Rule, source: str) -> None:
    assert rule("service/a.py", source) == []


def test_day_arithmetic_is_free_in_its_homes_and_in_tests() -> None:
    source = "x = timedelta(days=1)\n"

    faults = [
        fault
        for name in (*source_rules.DAY_ARITHMETIC_HOMES, "tests/unit/test_a.py")
        for fault in source_rules.day_arithmetic_faults(name, source)
    ]

    assert faults == []
