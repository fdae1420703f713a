"""Two schedulers step one database at the same instant, evening after evening: all is told once."""

from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from pathlib import Path
from threading import Barrier

import pytest

from gateway_adapters.fake import FakeGateway
from service.agronomy.calendar import add_days
from service.bootstrap import Services, build
from tests.faults.ledger import compare
from tests.fresh import shipped_texts
from tests.world import START, World, enrol
from tests.world_looks import links, messages

HOMES = 8
FIRST_ON = date(2027, 3, 15)
HOURS = ("06:00", "18:00", "18:01")

pytestmark = pytest.mark.slow


def a_village(folder: Path) -> World:
    """Return a world with homes that planted on one day after another."""
    world = World(folder=folder)
    world.now = START
    for place in range(HOMES):
        enrol(
            world,
            code=f"H{place:02}",
            number=f"+2551000000{place:02}",
            planted_on=add_days(FIRST_ON, place % 4),
        )
    return world


@pytest.fixture
def worlds(tmp_path: Path) -> Iterator[tuple[World, World]]:
    """Two villages alike: for two schedulers, and for one."""
    both, alone = a_village(tmp_path / "both"), a_village(tmp_path / "alone")
    yield both, alone
    both.close()
    alone.close()


def another_scheduler(world: World) -> Services:
    """Return services as a second process has them: their own connections and gateway."""
    return build(
        world.services.settings,
        gateway=FakeGateway(clock=world.clock, folder=world.folder / "network"),
        catalogue=shipped_texts(),
        clock=world.clock,
    )


def told(world: World) -> Counter[tuple[str, str]]:
    return Counter((text.to, text.text) for text in world.gateway.texts())


def test_each_dose_is_told_once_and_the_phones_hold_what_one_scheduler_sends(
    worlds: tuple[World, World], evenings: int
) -> None:
    both, alone = worlds
    second, gate = another_scheduler(both), Barrier(2)

    def step(services: Services) -> None:
        gate.wait()
        services.step()

    with ThreadPoolExecutor(max_workers=2) as pool:
        for ahead in range(-1, evenings):
            for hour in HOURS:
                at = f"{add_days(FIRST_ON, ahead).isoformat()}T{hour}"
                alone.tick(at)
                both.now = alone.now
                list(pool.map(step, [both.services, second]))

    second.sessions.engine.dispose()
    assert compare(both.services.sessions, both.gateway).wrong == ()
    assert told(both) == told(alone)
    assert max(told(both).values()) == 1
    first = {row.id for row in messages(both, "dose")}
    assert set(Counter(link.dose_id for link in links(both, first)).values()) == {1}
    assert len(first) >= HOMES
