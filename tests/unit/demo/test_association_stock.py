"""What the demo's homes have in store: most have enough, some too little, some fill on."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from service.agronomy.calendar import days_between
from service.agronomy.containers import CanEventKind, CanState
from service.cli.demo_season import SEASON_START
from service.cli.store import take_in
from service.demo.setting_up import Place
from service.planning.board import Board
from service.planning.board_now import board_now
from service.records.containers import ContainerBundle, containers
from service.records.people import HouseholdRow

ASSOCIATION = Path(__file__).parents[3] / "deploy" / "association"


@dataclass(frozen=True, kw_only=True)
class Stores:
    """The association on the day the demo begins, with every can."""

    board: Board
    cans: list[ContainerBundle]

    def homes(self) -> dict[str, HouseholdRow]:
        """Return the households by code."""
        found = (planned.bundle.household for planned in self.board.plantings)
        return {home.code: home for home in found}

    def lacking(self, home: HouseholdRow) -> float:
        """Return the part of its doses that a home's sealed cans do not serve in time."""
        stock = self.board.stock[home.id]
        wanted = sum(ask.litres for ask in stock.asks)
        got = sum(
            draw.litres
            for allotment in stock.allotted.values()
            for draw in allotment.draws
            if not draw.forecast
        )
        return 1 - got / wanted


@pytest.fixture(scope="module")
def stores(tmp_path_factory: pytest.TempPathFactory) -> Stores:
    """The demo's homes before their season."""
    services = Place(folder=tmp_path_factory.mktemp("demo")).open(start=SEASON_START)
    take_in(services, ASSOCIATION)
    with services.sessions.read() as session:
        board = board_now(session, 1, now=SEASON_START)
        return Stores(board=board, cans=containers(session, 1))


def test_most_homes_have_enough_and_some_are_short(stores: Stores) -> None:
    lacking = {code: stores.lacking(home) for code, home in stores.homes().items()}

    assert sum(part < 0.01 for part in lacking.values()) >= 25
    assert sum(0.2 <= part <= 0.6 for part in lacking.values()) >= 8


def test_some_homes_still_fill_a_can_and_sow_later(stores: Stores) -> None:
    filling = {
        home.code
        for home in stores.homes().values()
        for can in stores.board.cans_of(home.id)
        if can.state is CanState.FILLING
    }

    assert filling == {"H06", "H21", "H22", "H29", "H32", "H37", "H39"}


def test_no_home_has_sealed_more_than_its_people_pass(stores: Stores) -> None:
    """An adult passes about 1 L a day and a child half of that: WHO 2006, told by SSWM."""
    own: dict[int, list[ContainerBundle]] = defaultdict(list)
    for can in stores.cans:
        if any(event.kind is CanEventKind.SEALED for event in can.events):
            own[can.container.household_id].append(can)

    for home in stores.homes().values():
        if not own[home.id]:
            continue
        people = (home.adults + home.children / 2) * home.collected_share
        opened_on = min(_days(own[home.id], CanEventKind.OPENED))
        sealed_on = max(_days(own[home.id], CanEventKind.SEALED))
        litres = sum(can.container.litres for can in own[home.id])
        assert litres <= people * days_between(opened_on, sealed_on), home.code


def test_one_home_avoids_fridays_and_one_crop_has_eaters_of_its_own(stores: Stores) -> None:
    avoided = {home.code: home.avoid_weekday for home in stores.homes().values()}
    eaters = [planned.bundle.planting.regime for planned in stores.board.plantings]

    assert avoided["H02"] == date(2027, 3, 5).weekday()  # a Friday
    assert sum(regime is not None for regime in eaters) == 1


def _days(cans: Iterable[ContainerBundle], kind: CanEventKind) -> list[date]:
    return [event.on for can in cans for event in can.events if event.kind is kind]
