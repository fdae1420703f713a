"""The shell blocks of README.md and DEVELOPERS.md that can be run as they stand."""

import re
from dataclasses import dataclass

_FENCE = re.compile(r"^```(sh|sh slow)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
_COMMAND = re.compile(r"^furrowbell ", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """One fenced block; `line` counts from 1, at its fence."""

    line: int
    text: str
    is_slow: bool


def runnable_blocks(document: str) -> list[Block]:
    """Return the blocks fenced as `sh` in which a line calls the installed command."""
    return [
        Block(
            line=document.count("\n", 0, found.start()) + 1,
            text=found[2],
            is_slow=found[1] == "sh slow",
        )
        for found in _FENCE.finditer(document)
        if _COMMAND.search(found[2])
    ]
