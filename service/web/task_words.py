"""Why a task stands on the list, what to ask, and what was decided, in sentences."""

from collections.abc import Mapping
from datetime import date

from service.confirmations.calls import (
    TRIES,
    CallResult,
    PutOff,
    Said,
    Settled,
    SettledBefore,
)
from service.confirmations.outcomes import NeedsReading
from service.records.task_lines import TaskLine
from service.records.tasks import CROP_FAILED, DOSES_GO_ON, SITE_DECIDED, TOLD_BY_GROWER
from service.records.traffic import CallTaskRow, TaskKind
from service.web.hints import hint_words
from service.web.outcome_words import outcome_words
from service.web.sentence import Sentence, sentence

REPORTED = "not-ready:reported:"  # begins the key of a task about a dose that was given unready

BUTTONS: Mapping[Said, Sentence] = {
    Said.NOT_DONE: sentence("Not done"),
    Said.NOT_YET: sentence("Not yet"),
    Said.TOLD: sentence("Told"),
    Said.SPOKEN: sentence("Spoken to"),
    Said.NO_ANSWER: sentence("No answer"),
    Said.WRONG_NUMBER: sentence("Wrong number"),
    Said.MOVED: sentence("Moved away"),
    Said.STOP: sentence("Wants to stop"),
}
"""The buttons that need no day."""

_SETTLED: Mapping[str, Sentence] = {
    "done": sentence("done"),
    "not done": sentence("not done"),
    "up": sentence("most plants are up"),
    "not yet": sentence("not yet"),
    "told": sentence("told by call"),
    "spoken to": sentence("spoken to"),
    "no answer": sentence("no answer"),
    "wrong number": sentence("wrong number"),
    "moved away": sentence("moved away"),
    "wants to stop": sentence("wants no more texts"),
    "enrolled": sentence("enrolled"),
    TOLD_BY_GROWER: sentence("news of the dose has come"),
    CROP_FAILED: sentence("the crop failed"),
    DOSES_GO_ON: sentence("looked at: doses go on"),
    SITE_DECIDED: sentence("the ground is decided on"),
}


def why_words(line: TaskLine) -> Sentence:
    """Return why a task is on the list."""
    return _dose_why(line) if line.dose is not None else _other_why(line)


def _dose_why(line: TaskLine) -> Sentence:  # noqa: C901, PLR0911 -- one line a kind
    values = {"code": line.code, "day": line.dose.due_on if line.dose else ""}
    match line.task.kind:
        case TaskKind.SILENT:
            return sentence("No answer about dose %(code)s of %(day)s.", **values)
        case TaskKind.NOT_TOLD:
            return sentence("No text could leave in time for dose %(code)s of %(day)s.", **values)
        case TaskKind.BY_CALL:
            return sentence("No text goes to them: tell them dose %(code)s of %(day)s.", **values)
        case TaskKind.NO_ROOM:
            return sentence("The text had no room for dose %(code)s of %(day)s.", **values)
        case TaskKind.UNREAD:
            return sentence(
                "A text of theirs, not read yet, may tell of dose %(code)s of %(day)s.", **values
            )
        case TaskKind.NOT_READY if line.task.key.startswith(REPORTED):
            return sentence(
                "Dose %(code)s was given from a can that had not rested long enough.", **values
            )
        case TaskKind.NOT_READY:
            return sentence("No can has rested long enough for dose %(code)s of %(day)s.", **values)
        case TaskKind.AFTER_CUTOFF:
            return sentence("Dose %(code)s was given after the last day for a dose.", **values)
        case TaskKind.SECOND_REPORT:
            return sentence("Dose %(code)s was told as done twice, on two days.", **values)
        case TaskKind.HELD:
            return sentence("What we texted about dose %(code)s does not hold any more.", **values)
        case _:
            return _other_why(line)


def _other_why(line: TaskLine) -> Sentence:  # noqa: C901, PLR0911, PLR0912 -- one line a kind
    plot = line.letter or sentence("without a letter")
    match line.task.kind:
        case TaskKind.UNKNOWN:
            return sentence("We do not know whether this text left. Call and say it.")
        case TaskKind.EMERGENCE:
            return sentence(
                "Nobody has told whether the plants on plot %(plot)s are up.", plot=plot
            )
        case TaskKind.EARLY_HARVEST:
            return sentence("Plot %(plot)s was harvested before the safe day.", plot=plot)
        case TaskKind.BURNT:
            return sentence("Leaves are burnt on plot %(plot)s.", plot=plot)
        case TaskKind.UNREAD:
            return sentence("A text of theirs needs a call.")
        case TaskKind.CORRECTED:
            return sentence("A text was corrected while they slept: say what holds now.")
        case TaskKind.LOOP:
            return sentence("This phone sent too many texts and gets no answer for a day.")
        case TaskKind.STOPPED:
            return sentence("This phone has stopped its texts.")
        case TaskKind.ENROL:
            return sentence("Somebody wants to join.")
        case TaskKind.NOT_READY:
            return sentence("No can has rested long enough for a dose.")
        case TaskKind.SECOND_REPORT:
            return sentence("A dose was told as done twice, on two days.")
        case TaskKind.AFTER_CUTOFF:
            return sentence("A dose was given after the last day for it.")
        case TaskKind.SILENT | TaskKind.NOT_TOLD | TaskKind.BY_CALL | TaskKind.NO_ROOM:
            return sentence("A dose is to be told or asked about.")
        case TaskKind.SHORT:
            return sentence("The cans will not last for the doses to come.")
        case TaskKind.SITE:
            return sentence(
                "The ground of plot %(plot)s is risky, so it gets nothing until somebody decides.",
                plot=plot,
            )
        case TaskKind.HELD:
            return sentence("What we texted does not hold any more, and it was night.")


def ask_words(kind: TaskKind) -> Sentence:  # noqa: C901, PLR0911, PLR0912 -- one line a kind
    """Return what to ask or say in such a call."""
    match kind:
        case TaskKind.SILENT | TaskKind.UNREAD:
            return sentence("Ask whether it was done, and on which day.")
        case TaskKind.NOT_TOLD | TaskKind.BY_CALL | TaskKind.NO_ROOM | TaskKind.UNKNOWN:
            return sentence("Say it, and ask whether it was done already.")
        case TaskKind.EMERGENCE:
            return sentence("Ask whether most plants are up, and since which day.")
        case TaskKind.NOT_READY:
            return sentence("Say that a can may be used only once it has rested long enough.")
        case TaskKind.AFTER_CUTOFF:
            return sentence("Say that no more dose may follow, and until when to wait to harvest.")
        case TaskKind.EARLY_HARVEST:
            return sentence("Ask what was harvested, and say until when to wait with the rest.")
        case TaskKind.SECOND_REPORT:
            return sentence("Ask whether it was given twice, or on which of the two days.")
        case TaskKind.BURNT:
            return sentence("Ask what happened, and look at the plants before the next dose.")
        case TaskKind.CORRECTED:
            return sentence("Say what holds now.")
        case TaskKind.LOOP:
            return sentence("Ask what happened, and whether somebody else uses the phone.")
        case TaskKind.STOPPED:
            return sentence("Do not ask them to start again. Only the phone itself can: START.")
        case TaskKind.SHORT:
            return sentence("Say what will be short, and ask whether more can be collected.")
        case TaskKind.SITE:
            return sentence("Look at the ground, then decide on the page of the plot.")
        case TaskKind.HELD:
            return sentence("Say before they begin that this dose waits or is left out.")
        case TaskKind.ENROL:
            return sentence("Call back, and enrol the household if it says yes.")


def result_words(result: CallResult, *, home: str) -> Sentence:
    """Return the line for what a call led to; `home` is the code of the household."""
    match result:
        case PutOff(said=Said.NO_ANSWER):
            return sentence(
                "Noted: no answer, call %(tries)s of %(most)s. It comes back on %(day)s.",
                tries=result.tries,
                most=TRIES,
                day=result.until,
            )
        case PutOff():
            return sentence("Noted: not up yet. This call comes back on %(day)s.", day=result.until)
        case Settled() if result.report is not None:
            return outcome_words(result.report)
        case Settled():
            return _said_words(result.said, home)
        case NeedsReading():
            return hint_words(result.hint)
        case SettledBefore():
            return settled_words(result.task)


def _said_words(said: Said, home: str) -> Sentence:
    match said:
        case Said.TOLD:
            return sentence("Noted: told by call.")
        case Said.NO_ANSWER:
            return sentence("Noted: no answer, three calls. Visit them if you can.")
        case Said.WRONG_NUMBER:
            return sentence(
                "Noted: wrong number. No text goes to it any more. Enter the right number on the"
                " page of household %(home)s.",
                home=home,
            )
        case Said.MOVED:
            return sentence(
                "Noted: household %(home)s has moved away. Texts to its phones have stopped. If"
                " nobody tends its plots, note the harvest of each, so that no more calls come.",
                home=home,
            )
        case Said.STOP:
            return sentence(
                "Noted: all texts to the phones of household %(home)s have stopped. Only the"
                " phone itself can start them again.",
                home=home,
            )
        case _:
            return sentence("Noted: spoken to.")


def settled_words(task: CallTaskRow) -> Sentence:
    """Return how a closed task was settled."""
    kept = task.outcome or ""
    if kept == Said.NO_ANSWER:
        return sentence("no answer, %(tries)s calls", tries=task.tries + 1)
    words, _, day = kept.rpartition(" ")
    if words == Said.DONE:
        return sentence("done on %(day)s", day=date.fromisoformat(day))
    if words == Said.UP:
        return sentence("most plants up since %(day)s", day=date.fromisoformat(day))
    return _SETTLED.get(kept, sentence("settled"))
