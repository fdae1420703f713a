"""A proof that some faults change nothing."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Equivalent:
    """Faults on one line that change nothing, with the reason why."""

    file: str
    line: str
    faults: tuple[tuple[str, str], ...]
    proof: str
