"""What a text brought into the records: which notes are its own, and how they read."""

import re

from service.agronomy.containers import CanEventKind
from service.records.fields import ContainerEventRow, FactKind, HoldRow, PlantingFactRow
from service.records.household_talk import TextNote
from service.records.people import Consent, ConsentEventRow
from service.records.traffic import InboundRow
from service.web.sentence import Sentence, sentence

_ITEM = re.compile(r"([A-Z]?)([0-9]*)-[0-9]+")


def codes_in(text: InboundRow) -> list[tuple[str, str]]:
    """Return the letters and numbers that a text was surely read to name."""
    return _ITEM.findall(text.hint)


def brought(text: InboundRow, note: TextNote) -> bool:
    """Say whether something in the records came of this text."""
    if isinstance(note.row, ConsentEventRow):
        return note.row.key == f"text:{text.id}"
    if note.recorded_at not in (text.received_at, text.read_at):
        return False
    # several texts may have been taken in at one instant: each brought what it names
    named = codes_in(text)
    if not named or text.to_read:
        return True
    if note.can is not None:
        return ("", str(note.can)) in named
    return any(letter == note.letter and _same_dose(note, number) for letter, number in named)


def _same_dose(note: TextNote, number: str) -> bool:
    dose = note.row.dose_number if isinstance(note.row, PlantingFactRow) else None
    return dose is None or number in ("", str(dose))


def note_words(note: TextNote) -> Sentence:
    """Return what a text brought into the records."""
    plot = note.letter or "-"
    match note.row:
        case PlantingFactRow() as fact:
            return _fact_words(fact, plot)
        case HoldRow() as hold:
            return sentence(
                "Plot %(plot)s waits from %(first)s to %(last)s.",
                plot=plot,
                first=hold.first_on,
                last=hold.last_on,
            )
        case ContainerEventRow() as event:
            return _can_words(event, note.can)
        case ConsentEventRow() as said:
            return _consent_words(said)


def _fact_words(fact: PlantingFactRow, plot: str) -> Sentence:  # noqa: C901, PLR0911, PLR0912 -- one line a fact
    code = f"{plot}{fact.dose_number or ''}"
    match fact.kind:
        case FactKind.APPLIED:
            return sentence("%(code)s done on %(day)s.", code=code, day=fact.on)
        case FactKind.NOT_APPLIED:
            return sentence("%(code)s not done.", code=code)
        case FactKind.SECOND_REPORT:
            return sentence("%(code)s told a second time; it counts once.", code=code)
        case FactKind.NOT_READY:
            return sentence("%(code)s had no ready can.", code=code)
        case FactKind.SOWN:
            return sentence("Plot %(plot)s sown on %(day)s.", plot=plot, day=fact.on)
        case FactKind.EMERGED:
            return sentence("Plot %(plot)s: plants up on %(day)s.", plot=plot, day=fact.on)
        case FactKind.HARVESTED:
            return sentence("Plot %(plot)s harvested on %(day)s.", plot=plot, day=fact.on)
        case FactKind.BURNT:
            return sentence("Plot %(plot)s: burnt leaves.", plot=plot)
        case FactKind.GO_ON:
            return sentence("Plot %(plot)s: doses go on.", plot=plot)
        case FactKind.PUT_OFF:
            return sentence("Plot %(plot)s: sowing put off to %(day)s.", plot=plot, day=fact.on)
        case FactKind.RESOWN:
            return sentence("Plot %(plot)s sown again on %(day)s.", plot=plot, day=fact.on)
        case FactKind.FAILED:
            return sentence("Plot %(plot)s: the crop failed.", plot=plot)
        case FactKind.ELSEWHERE:
            return sentence(
                "%(code)s given on %(day)s, %(litres)s L, before the plan knew of it.",
                code=code,
                day=fact.on,
                litres=fact.litres or 0,
            )


def _can_words(event: ContainerEventRow, can: int | None) -> Sentence:
    match event.kind:
        case CanEventKind.SEALED:
            return sentence("Can %(can)s sealed on %(day)s.", can=can, day=event.on)
        case CanEventKind.OPENED:
            return sentence("Can %(can)s begun on %(day)s.", can=can, day=event.on)
        case CanEventKind.REFILLED:
            return sentence("Can %(can)s filled further on %(day)s.", can=can, day=event.on)
        case CanEventKind.EMPTIED:
            return sentence("Can %(can)s emptied on %(day)s.", can=can, day=event.on)
        case CanEventKind.LEAKED:
            return sentence("Can %(can)s found leaking on %(day)s.", can=can, day=event.on)


def _consent_words(said: ConsentEventRow) -> Sentence:
    if said.kind is Consent.GIVEN:
        return sentence("Texts go to this phone.")
    return sentence("All texts to this phone have stopped.")
