"""A gateway of another package: built as a wheel, installed by pip, held to the same suite."""

import os
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
INFO = "furrowbell_spool-1.0.dist-info"
PARTS = {
    f"{INFO}/METADATA": "Metadata-Version: 2.1\nName: furrowbell-spool\nVersion: 1.0\n",
    f"{INFO}/WHEEL": "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n",
    f"{INFO}/entry_points.txt": "[gateway_adapters]\nspool = spool_gateway:open_spool\n",
}
LIMIT_S = 120


def run(*words: str, **environment: str) -> "subprocess.CompletedProcess[str]":
    """Run Python with these words from the clone's top folder."""
    return subprocess.run(  # noqa: S603 -- our own words
        [sys.executable, *words],
        cwd=ROOT,
        env={**os.environ, **environment},
        capture_output=True,
        text=True,
        check=False,
        timeout=LIMIT_S,
    )


@pytest.mark.slow
def test_an_adapter_of_another_package_passes_the_contract_suite(tmp_path: Path) -> None:
    wheel, site = tmp_path / "furrowbell_spool-1.0-py3-none-any.whl", tmp_path / "site"
    with ZipFile(wheel, "w") as packed:
        packed.write(HERE / "example" / "spool_gateway.py", "spool_gateway.py")
        for name, text in PARTS.items():
            packed.writestr(name, text)
        packed.writestr(f"{INFO}/RECORD", "")
    installed = run(
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-index",
        "--no-deps",
        "--target",
        str(site),
        str(wheel),
    )
    assert installed.returncode == 0, installed.stderr

    suite = run(
        "-m",
        "pytest",
        "-q",
        "-p",
        "no:cacheprovider",
        "-p",
        "tests.gateways.example.spool_line",
        "tests/acceptance/test_gateway_contract.py",
        "-k",
        "spool",
        PYTHONPATH=f"{site}{os.pathsep}{ROOT}",
    )

    assert suite.returncode == 0, suite.stdout[-3000:]
    assert " passed" in suite.stdout
    assert "failed" not in suite.stdout


def test_the_example_is_short() -> None:
    """What a third party writes fits on two pages."""
    lines = (HERE / "example" / "spool_gateway.py").read_text(encoding="utf-8").splitlines()

    assert len([line for line in lines if line.strip()]) <= 100
