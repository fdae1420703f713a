"""The buttons under a call: what each says, what it sends, and what that means."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from service.agronomy.calendar import add_days
from service.confirmations.calls import WITH_DAY, Answer, Said
from service.messages.phone import masked_number
from service.records.people import PhoneRow
from service.web.form import Form
from service.web.sentence import Sentence, sentence
from service.web.task_words import BUTTONS

SAID, ON = "said", "on"
LABELS = {SAID: sentence("What came of it?"), ON: sentence("Another day")}
TODAY, YESTERDAY, THAT_DAY = "today", "yesterday", "that-day"
DAYS: Mapping[Said, Mapping[str, Sentence]] = {
    Said.DONE: {
        TODAY: sentence("Done today"),
        YESTERDAY: sentence("Done yesterday"),
        THAT_DAY: sentence("Done on that day"),
    },
    Said.UP: {
        TODAY: sentence("Most plants are up since today"),
        YESTERDAY: sentence("Most plants are up since yesterday"),
        THAT_DAY: sentence("Most plants are up since that day"),
    },
}
REACHED = (Said.DONE, Said.NOT_DONE, Said.UP, Said.NOT_YET, Said.TOLD, Said.SPOKEN)


@dataclass(frozen=True, slots=True, kw_only=True)
class Button:
    """One way to settle a task; `value` is what its press sends."""

    value: str
    words: Sentence
    phone: str = ""  # masked, where the task has several
    quiet: bool = False


def buttons_of(answers: Sequence[Said], phones: Sequence[PhoneRow]) -> list[Button]:
    """Return the buttons for what may come of a call; a day to be typed has a form of its own."""
    found: list[Button] = []
    for said in answers:
        quiet = said not in REACHED
        if said in WITH_DAY:
            found += [
                Button(value=f"{said}:{day}", words=words)
                for day, words in DAYS[said].items()
                if day != THAT_DAY
            ]
        elif said is Said.WRONG_NUMBER and len(phones) > 1:
            found += [
                Button(
                    value=f"{said}:{phone.id}",
                    words=BUTTONS[said],
                    phone=masked_number(phone.number),
                    quiet=quiet,
                )
                for phone in phones
            ]
        else:
            found.append(Button(value=said.value, words=BUTTONS[said], quiet=quiet))
    return found


def day_button(answers: Sequence[Said]) -> Button | None:
    """Return the button beside a day to be typed, or None where no answer has a day."""
    for said in WITH_DAY:
        if said in answers:
            return Button(value=f"{said}:{THAT_DAY}", words=DAYS[said][THAT_DAY])
    return None


def answer_of(
    form: Form, answers: Sequence[Said], phones: Sequence[PhoneRow], *, today: date
) -> Answer | None:
    """Return what was pressed; None, with the fault noted, where it cannot be taken."""
    allowed = [*buttons_of(answers, phones), *filter(None, [day_button(answers)])]
    chosen = form.value(SAID)
    if chosen not in {button.value for button in allowed}:
        form.refuse(SAID, sentence("That does not fit any more. Look again, then choose."))
        return None
    name, _, rest = chosen.partition(":")
    said = Said(name)
    if said is Said.WRONG_NUMBER and rest:
        return Answer(said=said, phone_id=int(rest))
    if said not in WITH_DAY:
        return Answer(said=said)
    on = form.day(ON) if rest == THAT_DAY else add_days(today, -1 if rest == YESTERDAY else 0)
    return None if on is None else Answer(said=said, on=on)
