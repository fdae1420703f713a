"""What is wrong in a folder: every fault with its file, row and column."""

from dataclasses import dataclass, field

from service.errors import ServiceError

FILES = (
    "association.csv",
    "areas.csv",
    "households.csv",
    "phones.csv",
    "consents.csv",
    "plots.csv",
    "plantings.csv",
    "containers.csv",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing to put right.

    `row` is counted as a spreadsheet does: 1 is the header; 0 speaks of the whole file. `column`
    is blank where no one column is at fault. The sentence repeats no cell, since cells hold names
    and numbers.
    """

    file: str
    row: int
    column: str
    sentence: str

    def line(self) -> str:
        """Return the fault as one line, such as `plots.csv, row 7, column area_m2: …`."""
        row = f", row {self.row}" if self.row else ""
        column = f", column {self.column}" if self.column else ""
        return f"{self.file}{row}{column}: {self.sentence}"


class IntakeError(ServiceError):
    """A folder cannot be taken in; nothing of it was stored."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("\n".join(fault.line() for fault in faults))
        self.faults = faults


@dataclass(slots=True)
class Faults:
    """Collects faults, so that all are told at once."""

    found: list[Fault] = field(default_factory=list)

    def add(self, file: str, row: int, column: str, sentence: str) -> None:
        """Note one fault."""
        self.found.append(Fault(file=file, row=row, column=column, sentence=sentence))

    def refuse(self) -> None:
        """Do nothing where all is well.

        Raises:
            IntakeError: a fault was noted; holds all of them by file and row, each once.
        """
        if self.found:
            each = dict.fromkeys(self.found)
            raise IntakeError(
                tuple(sorted(each, key=lambda f: (FILES.index(f.file), f.row, f.column)))
            )
