"""The database: is it there, does it answer, are its tables this version's, is it safe on disk."""

from enum import Enum, auto

from service.cli.check_finding import Finding, well, wrong
from service.records.engine import Sessions
from service.records.faults import STORE_FAULTS
from service.records.migrate import DatabaseVersionError, check_version, current_revision
from service.records.store_facts import (
    database_file,
    has_rollback_journal,
    takes_writes,
    waits_for_disk,
)

NO_ANSWER = (
    "The database does not answer: see that database_url names it, that its server runs and takes"
    " that user, or that its file is one of SQLite and this user may write it and its folder."
)


class Reach(Enum):
    """How much of the database can be asked."""

    NOTHING = auto()
    ZONES = auto()  # what the tables of any version have
    ALL = auto()


def journal_findings(sessions: Sessions) -> list[Finding]:
    """Return how a SQLite file is kept; ask before the first connection, which sets it right."""
    file = database_file(sessions.engine)
    if file is None or not file.is_file():
        return []
    try:
        is_wrong = has_rollback_journal(file)
    except OSError:
        return []  # that it cannot be read is said by `reach_of`
    if not is_wrong:
        return [well("The database file has a write-ahead log (journal mode WAL).")]
    return [
        wrong(
            "The database file had no write-ahead log (journal mode WAL): another program has"
            " changed that. This look has asked for it again; run the check once more, and if"
            " this line comes back, move the file to a local disk."
        )
    ]


def reach_of(sessions: Sessions) -> tuple[Reach, Finding]:
    """Return how much of the database can be asked, and the line that says so.

    A SQLite file that is not there is not made.
    """
    engine = sessions.engine
    file = database_file(engine)
    if file is not None and not file.exists():
        return Reach.NOTHING, wrong(
            f"There is no database file {file}: mend database_url, or make the file's folder and"
            " run `furrowbell migrate`, which makes the file."
        )
    try:
        has_tables = current_revision(engine) is not None
        fault = _version_fault(sessions)
    except STORE_FAULTS:
        return Reach.NOTHING, wrong(NO_ANSWER)
    if fault is None:
        return Reach.ALL, well("The database answers, and its tables are those of this version.")
    return Reach.ZONES if has_tables else Reach.NOTHING, wrong(fault)


def write_findings(sessions: Sessions) -> list[Finding]:
    """Return whether the database can be written, for all looks of the check read alone."""
    if takes_writes(sessions.engine):
        return [well("The database can be written.")]
    return [
        wrong(
            "The database can be read and not written: nothing is sent, and nothing that growers"
            " report is kept. Let this user write the file and its folder, see that the system has"
            " not made its disk read-only, or name the server that takes writes, not its copy."
        )
    ]


def disk_wait_findings(sessions: Sessions) -> list[Finding]:
    """Return whether SQLite waits for the disk before it calls a thing stored."""
    if database_file(sessions.engine) is None:
        return []
    if waits_for_disk(sessions.engine):
        return [well("What is stored is on the disk at once (synchronous FULL).")]
    return [
        wrong(
            "The database does not wait for the disk (synchronous is not FULL), so a power cut can"
            " lose what was sent: install this program anew, unchanged."
        )
    ]


def _version_fault(sessions: Sessions) -> str | None:
    try:
        check_version(sessions.engine)
    except DatabaseVersionError as error:
        return error.sentence
    return None
