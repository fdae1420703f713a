"""The menu on pretend handsets: the same acts as by text, whatever the line does."""

from datetime import date, timedelta

import pytest

from gateway_adapters.events import UssdEndReason
from gateway_adapters.gsm7 import is_gsm7, septet_count
from service.agronomy.containers import CanEventKind
from service.records.fields import ContainerEventRow, DoseState, FactKind, HoldRow, Source
from service.records.traffic import TaskKind
from service.records.ussd import UssdSessionRow
from tests.web.neighbours import add_neighbour, dump_of
from tests.world import OTHER_PHONE, PHONE, World, enrol
from tests.world_looks import calls, dose, facts, rows

STRANGER = "+255100000077"
SCREEN_MOST = 182  # septets in 160 octets


class Line:
    """A handset that dials through the fake gateway; every screen is checked for its length."""

    def __init__(self, world: World, phone: str = PHONE) -> None:
        self.world, self.phone = world, phone

    def dial(self, text: str = "") -> str:
        """Dial the menu and return its screen."""
        self.world.gateway.handsets.dial(self.phone, text=text)
        return self._shown()

    def press(self, keys: str) -> str:
        """Press keys one after the other and return the last screen."""
        for key in keys.split():
            self.world.gateway.handsets.press(self.phone, key)
            self._shown()
        return self._shown()

    def drop(self) -> None:
        """Let the line drop."""
        self.world.gateway.handsets.hang_up(self.phone, reason=UssdEndReason.NETWORK)
        self.world.services.step()

    def _shown(self) -> str:
        self.world.services.step()
        screen = self.world.gateway.handsets.screen(self.phone)
        assert screen is not None
        assert is_gsm7(screen.text)
        assert septet_count(screen.text) <= SCREEN_MOST
        return screen.text


def at(world: World, day: str) -> None:
    """Let it be noon of a day, with a step of work before."""
    world.tick(f"{day}T09:00")
    world.tick(f"{day}T12:00")


@pytest.mark.parametrize("language", ["en", "sw"])
def test_the_menu_offers_the_acts_of_the_codes(world: World, language: str) -> None:
    """R9: a dose, rain, burnt leaves, plants up, sown, a can and a harvest, each confirmed."""
    enrolled = enrol(world, language=language, can=2, sealed_on=None)
    line = Line(world)
    for day, keys in (
        ("2027-03-15", "2 1 1 1"),
        ("2027-03-15", "1 1 3 1 1"),
        ("2027-03-15", "1 1 1 1 1"),
        ("2027-03-25", "1 1 2 2 1"),
        ("2027-03-27", "1 1 4 1"),
        ("2027-04-02", "1 1 1 3 1"),
        ("2027-04-20", "1 1 5 1"),
        ("2027-08-20", "1 1 6 1 1"),
    ):
        at(world, day)
        line.dial()
        line.press(keys)

    told = facts(world, enrolled, *FactKind)
    assert {fact.source for fact in told if fact.kind is not FactKind.NOT_READY} == {Source.MENU}
    assert [fact.kind for fact in told if fact.kind is not FactKind.NOT_READY] == [
        FactKind.SOWN,
        FactKind.APPLIED,
        FactKind.EMERGED,
        FactKind.NOT_APPLIED,
        FactKind.BURNT,
        FactKind.HARVESTED,
    ]
    sealed = [row for row in rows(world, ContainerEventRow) if row.source is Source.MENU]
    assert [(row.kind, row.on) for row in sealed] == [(CanEventKind.SEALED, date(2027, 3, 15))]
    assert [hold.source for hold in rows(world, HoldRow)] == [Source.MENU, Source.MENU]


def test_a_dropped_line_is_gone_on_with(world: World) -> None:
    """R9: drop after the second screen, dial again within 3 minutes, go on."""
    enrolled = enrol(world)
    at(world, "2027-03-15")
    line = Line(world)
    line.dial()
    seen = line.press("1 1 1")
    line.drop()
    world.now += timedelta(minutes=3)

    assert line.dial() == "You had not finished.\n1 Go on\n0 Start again\n9 Exit"
    assert line.press("1") == seen
    line.press("1 1")

    assert dose(world, enrolled, 1).state is DoseState.DONE


def test_what_was_confirmed_is_also_sent_as_a_text(world: World) -> None:
    """R9: a last screen may never show, so the answer comes as a text too, as to a code."""
    enrol(world)
    at(world, "2027-03-15")
    line = Line(world)
    line.dial()

    last = line.press("1 1 1 1 1")

    assert world.bodies()[-1] == last
    assert last.startswith("Noted, thank you: A1 done Mon 15 Mar.")


@pytest.mark.parametrize(
    ("language", "question"),
    [
        pytest.param("en", "A1 done on Mon 15 Mar?\n1 Yes\n0 Back\n9 Exit", id="English"),
        pytest.param("sw", "A1 imefanyika Jumatatu 15 Mac?\n1 Ndiyo\n0 Rudi\n9 Toka", id="Swahili"),
    ],
)
def test_the_menu_speaks_the_language_of_the_home(
    world: World, language: str, question: str
) -> None:
    """R9: each phone is shown its own language."""
    enrol(world, language=language)
    at(world, "2027-03-15")
    line = Line(world)

    assert line.dial("1*1*1*1") == question


def test_a_shared_phone_picks_the_home_first(world: World) -> None:
    """R9: nobody sees what belongs to another home before, nor by going on after a drop."""
    enrol(world, code="H01", letter="A", can=1)
    enrol(world, code="H02", letter="D", can=2)
    world.text("YES", at="2027-02-20T10:00")
    at(world, "2027-03-15")
    line = Line(world)

    assert line.dial() == "Which home?\n1 H01\n2 H02\n9 Exit"
    line.press("1 1 1 1")
    line.drop()
    line.dial()
    assert line.press("1") == "Which home?\n1 H01\n2 H02\n9 Exit"
    other = line.press("2 1 1")

    assert other.startswith("Plot D:")
    assert "maize" not in other


def test_a_second_report_of_a_dose_from_another_phone_counts_once(world: World) -> None:
    """R9: told by menu and by text, a dose is one."""
    enrolled = enrol(world)
    at(world, "2027-03-15")
    line = Line(world)
    line.dial("1*1*1*1")
    world.text("A1")

    last = line.press("1")

    assert last == "A1 is already noted as done on Mon 15 Mar. Nothing more to do. Thank you."
    assert len(facts(world, enrolled, FactKind.APPLIED)) == 1


def test_an_early_harvest_is_answered_with_the_safe_day(world: World) -> None:
    """R9: the warning stands on the screen at once, and goes out as a text."""
    enrol(world)
    at(world, "2027-03-15")
    world.text("A1")
    at(world, "2027-03-20")
    line = Line(world)
    line.dial()

    last = line.press("1 1 6 1 1")

    assert last.startswith("Plot A: please wait until")
    assert world.bodies()[-1] == last
    assert len(calls(world, TaskKind.EARLY_HARVEST)) == 1


def test_an_unknown_number_may_join(world: World) -> None:
    """R9: JOIN is in the menu too, and nothing of anybody is shown."""
    enrol(world)
    at(world, "2027-03-15")
    line = Line(world, STRANGER)

    top = line.dial()
    last = line.press("1 1")

    assert "Plot" not in top
    assert last == world.bodies(STRANGER)[-1]
    assert len(calls(world, TaskKind.ENROL)) == 1


def test_a_stop_by_menu_counts_as_one_by_text(world: World) -> None:
    """R9: confirmed once, and only that phone starts again."""
    enrol(world)
    at(world, "2027-03-15")
    line = Line(world)
    line.dial()

    line.press("3 1")

    assert world.bodies()[-1].startswith("You will get no more texts")
    assert line.dial().splitlines()[1] == "1 Start texts"


def test_nobody_reaches_another_association_by_menu(world: World) -> None:
    """R9: the route's own association alone is read and written."""
    enrol(world)
    enrol(world, code="H02", number=OTHER_PHONE, letter="D", can=2)
    at(world, "2027-03-15")
    Line(world).dial("1*1*1")
    add_neighbour(world)
    before = dump_of(world, 2)
    foreign = Line(world, f"+2551000000{int(PHONE[-2:]) + 50}")

    assert foreign.dial().startswith("Test Growers does not know this number")
    assert Line(world).dial().startswith("You had not finished.")
    Line(world).press("1 1 1")

    assert dump_of(world, 2) == before
    assert {row.association_id for row in rows(world, UssdSessionRow)} == {1, 2}
