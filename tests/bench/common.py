"""Paired measurement in turn, and the one result line that every benchmark prints."""

import json
import statistics
import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """What the command line asks of a benchmark; `rounds` is None for the benchmark's own."""

    rounds: int | None
    seed: int

    def rounds_or(self, usual: int) -> int:
        """Return the rounds asked for, or the usual ones."""
        return usual if self.rounds is None else self.rounds


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """A bound, such as `<=1.7`; None bounds nothing and is only printed."""

    text: str | None

    def is_met(self, value: float) -> bool:
        """Say whether a value keeps within the bound."""
        if self.text is None:
            return True
        sign, bound = self.text[:2], float(self.text[2:])
        return {">=": value >= bound, "<=": value <= bound, "==": value == bound}[sign]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One goal's result: a median with its unit, the baseline's, and the ratios of the rounds.

    `ratios` is empty where the goal bounds the value itself.
    """

    name: str
    unit: str
    value: float
    baseline: float | None
    ratios: tuple[float, ...]
    goal: Goal
    notes: tuple[str, ...] = ()

    @property
    def bounded(self) -> float:
        """The number that the goal bounds."""
        return statistics.median(self.ratios) if self.ratios else self.value

    @property
    def passed(self) -> bool:
        """Whether the goal is met."""
        return self.goal.is_met(self.bounded)

    def crosses(self) -> bool:
        """Say whether single rounds lie on both sides of the goal."""
        return len({self.goal.is_met(ratio) for ratio in self.ratios}) > 1

    def all_notes(self) -> list[str]:
        """Return what has to be known beside the figures."""
        return [*(["range crosses the goal"] if self.crosses() else []), *self.notes]

    def text(self) -> str:
        """Return the line as it is printed."""
        parts = [self.name, f"value={self.value:.4g}{self.unit}"]
        parts.append("baseline=-" if self.baseline is None else f"baseline={self._baseline}")
        if self.ratios:
            parts.append(f"ratio={self.bounded:.3g}")
            parts.append(f"range={min(self.ratios):.3g}..{max(self.ratios):.3g}")
        else:
            parts += ["ratio=-", "range=-"]
        parts += [f"goal={self.goal.text or '-'}", "pass" if self.passed else "fail"]
        notes = self.all_notes()
        return " ".join([*parts, *([f"({'; '.join(notes)})"] if notes else [])])

    def as_json(self) -> str:
        """Return the line as one JSON object."""
        return json.dumps(
            {
                "name": self.name,
                "unit": self.unit,
                "value": self.value,
                "baseline": self.baseline,
                "ratio": self.bounded if self.ratios else None,
                "range": [min(self.ratios), max(self.ratios)] if self.ratios else None,
                "rounds": len(self.ratios),
                "goal": self.goal.text,
                "verdict": "pass" if self.passed else "fail",
                "notes": self.all_notes(),
            }
        )

    @property
    def _baseline(self) -> str:
        return f"{self.baseline:.4g}{self.unit}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """A goal that could not be measured, since something is not installed."""

    name: str
    needs: str
    passed: bool = True

    def text(self) -> str:
        """Return the line as it is printed."""
        return f"{self.name} skipped: needs {self.needs}"

    def as_json(self) -> str:
        """Return the line as one JSON object."""
        return json.dumps({"name": self.name, "verdict": "skipped", "needs": self.needs})


def interleave(rounds: int, runs: Mapping[str, Callable[[], float]]) -> dict[str, list[float]]:
    """Return what each run measured in each round.

    The order rotates, so that a drift of the machine meets all runs alike. Each figure goes to
    stderr as it comes.
    """
    names = list(runs)
    seen: dict[str, list[float]] = {name: [] for name in names}
    for turn in range(rounds):
        first = turn % len(names)
        for name in (*names[first:], *names[:first]):
            seen[name].append(runs[name]())
            sys.stderr.write(f"  round {turn + 1} {name} {seen[name][-1]:.6g}\n")
            sys.stderr.flush()
    return seen


def ratio_line(  # noqa: PLR0913 -- a line has so many parts
    name: str,
    value: Sequence[float],
    baseline: Sequence[float],
    *,
    goal: str | None,
    unit: str = "s",
    notes: Sequence[str] = (),
) -> Line:
    """Return the line of a goal on the ratio of two runs, round by round."""
    return Line(
        name=name,
        unit=unit,
        value=statistics.median(value),
        baseline=statistics.median(baseline),
        ratios=tuple(ours / theirs for ours, theirs in zip(value, baseline, strict=True)),
        goal=Goal(text=goal),
        notes=tuple(notes),
    )


def absolute_line(
    name: str, value: float, *, goal: str | None, unit: str = "", notes: Sequence[str] = ()
) -> Line:
    """Return the line of one of the few goals that bound a figure itself, or of a bare figure."""
    return Line(
        name=name,
        unit=unit,
        value=value,
        baseline=None,
        ratios=(),
        goal=Goal(text=goal),
        notes=tuple(notes),
    )


def short_number(count: int) -> str:
    """Return a round number as it stands in a goal's name: 300, 10k, 1m."""
    if count < 1_000:
        return str(count)
    return f"{count // 1_000_000}m" if count >= 1_000_000 else f"{count // 1_000}k"
