"""The calculator's answer for people, within 80 columns, with its reasons if they are wanted."""

import textwrap

from service.agronomy.reasons import Explanation, Reason, RuleId
from service.agronomy.tables import Origin
from service.cli.plan_answer import PlanAnswer
from service.cli.plan_lines import BLOCKS, WIDTH, Line
from service.cli.why_words import reason_words

_INDENT = " " * 6
_FURTHER = " " * 11
_LETTERS = "abcdefghijklmnopqrstuvwxyz"


def plan_text(answer: PlanAnswer, why: Explanation | None = None) -> str:
    """Return the answer as lines of text; with reasons, each line is followed by its own.

    A reason ends in the letter of its source, and the sources are listed at the end.
    """
    sources: dict[Origin, str] = {}
    blocks = ["\n".join(_told(line, why, sources) for line in block(answer)) for block in BLOCKS]
    if why is not None:
        blocks.append("\n".join(("Sources", *_listed(sources))))
    return "\n\n".join(block for block in blocks if block)


def _told(line: Line, why: Explanation | None, sources: dict[Origin, str]) -> str:
    if why is None:
        return line.text
    steps = [_step(step, sources) for subject in line.asked for step in why.chains.get(subject, ())]
    return "\n".join((line.text, *dict.fromkeys(steps)))  # what holds for two figures is said once


def _step(reason: Reason, sources: dict[Origin, str]) -> str:
    origin = reason.origin
    if origin is None:
        said = f"{reason_words(reason)} [told]"
    elif reason.rule is RuleId.CAUTION:
        said = _source(origin)
    else:
        said = f"{reason_words(reason)} [{sources.setdefault(origin, _next_mark(sources))}]"
    lines = textwrap.fill(f"{_INDENT}why: {said}", WIDTH, subsequent_indent=_FURTHER)
    return lines.replace("\u00a0", " ")


def _next_mark(sources: dict[Origin, str]) -> str:
    rounds, place = divmod(len(sources), len(_LETTERS))
    return _LETTERS[place] * (rounds + 1)


def _listed(sources: dict[Origin, str]) -> list[str]:
    return [
        textwrap.fill(f"  [{letter}] {_source(origin)}", WIDTH, subsequent_indent=_INDENT)
        for origin, letter in sources.items()
    ]


def _source(origin: Origin) -> str:
    return f"{origin.source} ({origin.found.value})"
