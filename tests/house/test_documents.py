"""README.md and DEVELOPERS.md: what they tell people to type is typed."""

import os
import sys
from pathlib import Path

import pytest

from tests.house.documents import Block, runnable_blocks
from tests.house.repository import ROOT
from tests.house.shell import run_bash

DOCUMENTS = ("README.md", "DEVELOPERS.md")

BLOCKS = [
    pytest.param(
        block, id=f"{name} line {block.line}", marks=[pytest.mark.slow] if block.is_slow else []
    )
    for name in DOCUMENTS
    for block in runnable_blocks((ROOT / name).read_text(encoding="utf-8"))
]


def command_path() -> str:
    """Return a search path on which the command of this environment comes first."""
    return f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"


@pytest.mark.parametrize("block", BLOCKS)
def test_a_block_runs_as_written(block: Block, tmp_path: Path) -> None:
    done = run_bash(block.text, folder=tmp_path, path=command_path())

    assert done.returncode == 0, f"{block.text}\n{done.stdout}\n{done.stderr}"


def test_the_readme_has_a_block_to_run() -> None:
    assert runnable_blocks((ROOT / "README.md").read_text(encoding="utf-8"))


def test_a_block_is_found_with_its_line_and_mark() -> None:
    document = "# Words\n\n```sh slow\ncd x\nfurrowbell plan\n```\n\n```sh\n./tests/run\n```\n"

    assert runnable_blocks(document) == [
        Block(line=3, text="cd x\nfurrowbell plan\n", is_slow=True)
    ]


def test_a_block_that_fails_half_way_has_failed(tmp_path: Path) -> None:
    done = run_bash("false\necho reached\n", folder=tmp_path)

    assert (done.returncode, done.stdout) == (1, "")
