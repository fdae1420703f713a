"""Which text answers which outcome, and the answer to WHY."""

from datetime import date

import pytest

from service.confirmations.outcomes import (
    Again,
    Burnt,
    Done,
    Harvested,
    Held,
    LastDone,
    NeedsReading,
    NotDone,
    Outcome,
    Sealed,
    Sown,
    TooMuch,
    Unready,
    Up,
)
from service.inbound.answers import answer_of
from service.messages.filling import Wording
from service.messages.render import Reader, render
from service.records.fields import DoseState
from tests.fresh import shipped_texts
from tests.world import World, enrol
from tests.world_looks import dose, messages

ON, NEXT = date(2027, 3, 15), date(2027, 3, 28)
PERSON = "+255100000090"

OUTCOMES: dict[str, tuple[Outcome, str]] = {
    "done": (Done(code="A1", letter="A", on=ON, next_on=NEXT, moved=False), "r_done"),
    "done, and the next moved": (
        Done(code="A1", letter="A", on=ON, next_on=NEXT, moved=True),
        "r_late",
    ),
    "the last": (LastDone(code="A7", letter="A", crop="maize-grain", harvest_on=NEXT), "last"),
    "from a can not ready": (Unready(code="A1", letter="A", harvest_on=NEXT), "r_unready"),
    "too much": (TooMuch(letter="A", given_l=42.5, max_l=150, next_on=NEXT), "refuse"),
    "too much, none left": (TooMuch(letter="A", given_l=42.5, max_l=150, next_on=None), "refuse"),
    "noted before": (Again(code="A1", on=ON), "r_again"),
    "not done": (NotDone(code="A1", until=NEXT), "r_notdone"),
    "sown": (Sown(letter="A", crop="maize-grain", on=ON, next_on=NEXT), "r_sown"),
    "sown, nothing to come": (
        Sown(letter="A", crop="maize-grain", on=ON, next_on=None),
        "r_sown",
    ),
    "up": (Up(letter="A", on=ON, next_on=None), "r_up"),
    "held": (Held(code="A2", letter="A", next_on=NEXT), "r_rain"),
    "held and left out": (Held(code="A2", letter="A", next_on=None), "r_rain"),
    "harvested": (Harvested(letter="A", on=ON, safe_on=None), "r_harvest"),
    "harvested early": (Harvested(letter="A", on=ON, safe_on=NEXT), "harvest_early"),
    "sealed": (Sealed(number=2, on=ON, wait_days=30, ready_on=NEXT), "sealed"),
    "burnt": (Burnt(letter="A"), "r_burn"),
    "to be read": (NeedsReading(hint="future"), "unread"),
}


@pytest.mark.parametrize("language", ["en", "sw"])
@pytest.mark.parametrize("name", OUTCOMES)
def test_every_outcome_has_its_text_and_all_that_the_text_asks_for(
    name: str, language: str
) -> None:
    outcome, kind = OUTCOMES[name]

    answer = answer_of(outcome, phone=PERSON)
    text = render(
        shipped_texts(),
        answer.kind,
        answer.values,
        reader=Reader(language=language, fallback="en", wording=Wording(what="green mix")),
    ).text

    assert answer.kind == kind
    assert len(text) > 10
    assert "$" not in text


def test_an_early_harvest_names_the_safe_day_and_a_person() -> None:
    answer = answer_of(Harvested(letter="A", on=ON, safe_on=NEXT), phone=PERSON)

    assert answer.values == {"plot": "A", "harvest": "2027-03-28", "phone": PERSON}


def why_values(world: World) -> dict[str, str | None]:
    row = messages(world, "r_why")[-1]
    values: dict[str, str | None] = row.fields["values"]
    return values


def test_why_names_the_next_day_and_the_harvest_after_all_that_is_to_come(world: World) -> None:
    """Last dose on 16 May, a month of 30 days: 15 June."""
    enrol(world)
    world.tick("2027-03-15T09:00")

    world.text("why A", at="2027-03-15T12:00")

    assert why_values(world) == {
        "plot": "A",
        "next": "2027-03-15",
        "since": "2027-03-15",
        "harvest": "2027-06-15",
        "phone": PERSON,
    }


def test_why_after_the_last_dose_counts_what_may_have_been_given(world: World) -> None:
    """Nobody told of the dose of 16 May; its window ended on 22 May."""
    enrol(world)
    world.tick("2027-05-15T18:00")
    world.tick("2027-05-23T09:00")

    world.text("why A", at="2027-05-23T12:00")

    values = why_values(world)
    assert (values["next"], values["harvest"]) == (None, "2027-06-21")


def test_why_does_not_wait_for_doses_that_were_dropped(world: World) -> None:
    """Sealed so late that no dose finds a ready can: nothing is or was given."""
    enrolled = enrol(world, sealed_on=date(2027, 5, 20))
    world.tick("2027-05-23T09:00")

    world.text("why A", at="2027-05-23T12:00")

    assert dose(world, enrolled, 7).state is DoseState.DROPPED
    values = why_values(world)
    assert (values["next"], values["harvest"]) == (None, "2027-05-23")
