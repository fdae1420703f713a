"""A mutant: one file of the project with one small fault in it."""

from dataclasses import dataclass

Change = tuple[str, str, str, str]
"""The file, the line's text, what stood there and what stands there now."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """A planted fault.

    Attributes:
        file: the file's path from the top of the project.
        line_number: the first line that differs, from 1.
        line: that line's text without its indent, and `[2]` after it where the same fault can be
            planted on an earlier line with the same text.
        old: what stood there.
        new: what stands there now.
        text: the whole file with the fault in it.
        name: what a trainer would call it; empty if no person thought of it.
    """

    file: str
    line_number: int
    line: str
    old: str
    new: str
    text: str
    name: str = ""

    @property
    def change(self) -> Change:
        """What the list of equivalent mutants knows it by; line numbers move too easily."""
        return (self.file, self.line, self.old, self.new)

    def shown(self) -> str:
        """Return where the fault is and what it is, on one line."""
        what = self.name or f"{self.old}  →  {self.new}"
        return f"{self.file}:{self.line_number}  {what}"
