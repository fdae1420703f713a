"""Facts that cannot be true together, or not at all: each is refused where it is told.

Each row holds what is told and how the refusal begins in English; it is refused in Swahili too.
"""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.containers import CanEventKind
from service.confirmations.cans import note_can_event
from service.confirmations.crop_news import confirm_sown, confirm_up
from service.confirmations.crop_turns import confirm_failed, confirm_resown, given_elsewhere
from service.confirmations.doses import confirm_done
from service.confirmations.outcomes import Desk, NeedsReading
from service.enrolment.entries import CanEntry, Enrolment, HouseholdEntry, PlotEntry
from service.enrolment.faults import Faults
from service.enrolment.ground import SquareMetres, Steps
from service.planning.cans import cans_by_household
from service.records.fields import ContainerEventRow, PlantingFactRow
from service.records.people import HouseholdRow
from service.web.fault_words import fault_words
from service.web.hints import UNKNOWN, hint_words
from service.web.sentence import Sentence
from service.web.tongue import load_tongues
from tests.fresh import TEXTS
from tests.unit.enrolment.table import CAN, MAIZE, PLOT, TODAY, tried, whole_household
from tests.world import Enrolled, World, enrol
from tests.world_facts import by_call
from tests.world_looks import rows

WHOLE = whole_household()
TONGUES = load_tongues(TEXTS)
TOMORROW = date(2027, 2, 21)


def said_in_both(words: Sentence) -> str:
    """Return a sentence in English, after seeing that Swahili says it in words of its own."""
    english, swahili = TONGUES["en"].say(words), TONGUES["sw"].say(words)
    assert words.text in TONGUES["sw"].singles, f"not said in Swahili: {words.text}"
    assert swahili != english
    return english


def with_can(**changes: object) -> Enrolment:
    return replace(WHOLE, can=replace(CAN, **changes))  # type: ignore[arg-type]  # -- each row names its own fields


def with_planting(**changes: object) -> Enrolment:
    return replace(WHOLE, planting=replace(MAIZE, **changes))  # type: ignore[arg-type]  # -- each row names its own fields


def with_household(**changes: object) -> Enrolment:
    return replace(WHOLE, household=replace(WHOLE.household, **changes))  # type: ignore[arg-type]  # -- each row names its own fields


@pytest.mark.parametrize(
    ("entry", "field", "sentence"),
    [
        pytest.param(
            replace(WHOLE, can=CanEntry(litres=5000)),
            "litres",
            "Write a number from 0.5 to 200.",
            id="a can of 5,000 L",
        ),
        pytest.param(
            with_household(adults=-1), "adults", "Write a number from 0 to 40.", id="minus one"
        ),
        pytest.param(
            with_household(children=-2), "children", "Write a number from 0 to 40.", id="minus two"
        ),
        pytest.param(
            with_planting(planted_on=date(2027, 2, 10), emerged_on=date(2027, 2, 9)),
            "emerged_on",
            "Plants are not up before they are sown.",
            id="up before sown",
        ),
        pytest.param(
            with_planting(planted_on=date(2027, 2, 10), emerged_on=TOMORROW),
            "emerged_on",
            "This day has not come yet.",
            id="up tomorrow",
        ),
        pytest.param(
            with_planting(
                planted_on=date(2027, 1, 1), first_harvest_days=40, emerged_on=date(2027, 2, 12)
            ),
            "emerged_on",
            "Plants are not up after the first picking.",
            id="up after picked",
        ),
        pytest.param(
            with_planting(first_harvest_on=date(2027, 3, 14)),
            "first_harvest_on",
            "The first picking must come after planting.",
            id="picked before planted",
        ),
        pytest.param(
            with_planting(first_harvest_days=300),
            "first_harvest_days",
            "The first picking would come after the season's end",
            id="picked after the season",
        ),
        pytest.param(
            with_can(sealed_on=date(2026, 11, 30)),
            "sealed_on",
            "A can is sealed after its filling began.",
            id="sealed before opened",
        ),
        pytest.param(
            with_can(emptied_on=date(2027, 1, 9)),
            "emptied_on",
            "A can is emptied after it was sealed.",
            id="emptied before sealed",
        ),
        pytest.param(
            with_can(sealed_on=TOMORROW),
            "sealed_on",
            "This day has not come yet.",
            id="sealed tomorrow",
        ),
        pytest.param(
            replace(WHOLE, plot=replace(PLOT, water_m=-5)),
            "water_m",
            "Write a number from 0 to 10,000.",
            id="water behind the back",
        ),
        pytest.param(
            replace(WHOLE, plot=PlotEntry(ground=SquareMetres(area_m2=0))),
            "area_m2",
            "This makes 0 m². Check it",
            id="no ground at all",
        ),
        pytest.param(
            replace(WHOLE, plot=PlotEntry(ground=Steps(steps_along=-20, steps_across=12))),
            "steps_along",
            "Write a number from 1 to 1,000.",
            id="steps backwards",
        ),
        pytest.param(
            with_planting(crop="cowpea"),
            "crop",
            "Beans, cowpeas and groundnuts make their own nitrogen: they need none.",
            id="a legume",
        ),
    ],
)
def test_an_entry_that_contradicts_itself_is_refused_with_a_sentence(
    world: World, entry: Enrolment, field: str, sentence: str
) -> None:
    outcome = tried(world, entry)

    assert isinstance(outcome, Faults)
    (fault,) = outcome.faults
    assert fault.field == field
    assert said_in_both(fault_words(fault)).startswith(sentence)
    assert rows(world, HouseholdRow) == []


def test_what_the_table_begins_with_is_taken(world: World) -> None:
    assert not isinstance(tried(world, WHOLE), Faults)
    assert WHOLE.household != HouseholdEntry(alias="Mango corner", area_id=1)
    assert MAIZE.planted_on > TODAY


def sealed_again(desk: Desk, home: Enrolled) -> object:
    (can,) = cans_by_household(desk.session, 1, today=desk.today)[home.household_id]
    return note_can_event(desk, can, CanEventKind.SEALED, on=desk.today)


@pytest.mark.parametrize(
    ("second", "sentence"),
    [
        pytest.param(
            sealed_again, "This can is noted as sealed on that day already.", id="sealed twice"
        ),
        pytest.param(
            lambda desk, home: confirm_up(desk, home.planting_id, on=date(2027, 3, 14)),
            "That is too soon after sowing for plants to be up.",
            id="up before sown",
        ),
        pytest.param(
            lambda desk, home: confirm_up(desk, home.planting_id, on=date(2027, 4, 11)),
            "That day is still to come.",
            id="up tomorrow",
        ),
        pytest.param(
            lambda desk, home: confirm_sown(desk, home.planting_id, on=date(2027, 3, 29)),
            "A dose is noted for an earlier day.",
            id="sown after a dose",
        ),
        pytest.param(
            lambda desk, home: confirm_done(desk, home.planting_id, 2, on=date(2027, 3, 14)),
            "That is before sowing.",
            id="a dose before sowing",
        ),
        pytest.param(
            lambda desk, home: confirm_resown(desk, home.planting_id, on=date(2027, 3, 15)),
            "It is sown again only after the first sowing.",
            id="sown again on the day it was sown",
        ),
        pytest.param(
            lambda desk, home: confirm_failed(desk, home.planting_id, on=date(2027, 3, 15)),
            "A dose is noted for a later day.",
            id="failed before a dose",
        ),
        pytest.param(
            lambda desk, home: given_elsewhere(
                desk, home.planting_id, 2, on=date(2027, 3, 28), litres=5000
            ),
            "That is more than this plot takes in a whole season.",
            id="5,000 L on 100 m²",
        ),
    ],
)
def test_news_that_contradicts_what_is_known_is_refused_with_a_sentence(
    world: World, second: Callable[[Desk, Enrolled], object], sentence: str
) -> None:
    """Sown on 15 March with dose 1 on the 16th; the can is sealed today, 10 April."""
    home = enrol(world, sealed_on=None)
    world.tick("2027-04-10T12:00")
    by_call(world, lambda desk: sealed_again(desk, home))
    by_call(world, lambda desk: confirm_done(desk, home.planting_id, 1, on=date(2027, 3, 16)))
    before = (len(rows(world, PlantingFactRow)), len(rows(world, ContainerEventRow)))

    outcome = by_call(world, lambda desk: second(desk, home))

    assert isinstance(outcome, NeedsReading)
    assert hint_words(outcome.hint) is not UNKNOWN
    assert said_in_both(hint_words(outcome.hint)).startswith(sentence)
    assert (len(rows(world, PlantingFactRow)), len(rows(world, ContainerEventRow))) == before
