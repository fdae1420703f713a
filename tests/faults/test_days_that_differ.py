"""Evenings around days that differ: a change of the hour, 29 February, the end of a year.

The instants are held against `dateutil`, which reads the rules of a zone with code of its own:
the service reads them by `zoneinfo`. The dates of the changes are those of the zones' laws: the
last Sundays of March and October in Berlin, the first Sundays from 2 April and 2 September on, at
midnight, in Santiago, and the first ones of April and October, by half an hour, on Lord Howe.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest
from dateutil import tz  # type: ignore[import-untyped]  # -- ships no types

from service.agronomy.calendar import add_days
from service.messages.lifecycle import State
from service.records.people import AssociationRow, HouseholdRow
from tests.faults.ledger import compare
from tests.world import World, an_association, enrol
from tests.world_looks import messages

HOMES = {  # days from the day that differs to that of the home's first dose, and its minute
    "+255100000001": (-1, 17 * 60),
    "+255100000002": (0, 18 * 60),
    "+255100000003": (1, 19 * 60 + 59),
}
DOSES = ("dose", "repeat", "digest")
RESTED_DAYS = 70
FIRST, LAST = -1, 2  # the days that are lived through, from the one that differs
TICKS = (time(3, 30), time(6), time(17), time(18), time(19, 59), time(20))

pytestmark = pytest.mark.slow


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """A day that differs, in a zone."""

    zone: str
    on: date

    def instant(self, ahead: int, clock: time) -> datetime:
        """Return the instant of a local time on a day so many days later, by `dateutil`."""
        local = datetime.combine(add_days(self.on, ahead), clock, tzinfo=tz.gettz(self.zone))
        return local.astimezone(UTC)

    def local(self, instant: datetime) -> datetime:
        """Return an instant as the zone's clocks show it, by `dateutil`."""
        return instant.astimezone(tz.gettz(self.zone))


DAYS = [
    pytest.param(Day(zone="Europe/Berlin", on=date(2027, 3, 28)), id="Berlin, an hour less"),
    pytest.param(Day(zone="Europe/Berlin", on=date(2027, 10, 31)), id="Berlin, an hour more"),
    pytest.param(Day(zone="America/Santiago", on=date(2027, 4, 4)), id="Santiago, an hour more"),
    pytest.param(Day(zone="America/Santiago", on=date(2027, 9, 5)), id="Santiago, no midnight"),
    pytest.param(Day(zone="Australia/Lord_Howe", on=date(2027, 10, 3)), id="half an hour less"),
    pytest.param(Day(zone="Africa/Dar_es_Salaam", on=date(2028, 2, 29)), id="29 February"),
    pytest.param(Day(zone="Africa/Dar_es_Salaam", on=date(2028, 1, 1)), id="a new year"),
]


@pytest.fixture
def world(tmp_path: Path) -> Iterator[World]:
    """A world without anybody."""
    made = World(folder=tmp_path)
    yield made
    made.close()


def settle_in(world: World, day: Day) -> None:
    """Give an association in the day's zone its homes, each with a first dose near the day."""
    world.now = day.instant(FIRST - 1, time(9))
    association_id = an_association(world)
    with world.services.sessions.begin() as session:
        session.get_one(AssociationRow, association_id).zone = day.zone
    for number, (ahead, minute) in HOMES.items():
        home = enrol(
            world,
            code=f"H{number[-2:]}",
            number=number,
            planted_on=add_days(day.on, ahead),
            sealed_on=add_days(day.on, -RESTED_DAYS),
        )
        with world.services.sessions.begin() as session:
            session.get_one(HouseholdRow, home.household_id).remind_minute = minute


def live_through(world: World, day: Day, *, off: range = range(0)) -> None:
    """Run a step at every tick of the days; in the hours `off` of the day itself there is none."""
    for ahead in range(FIRST, LAST):
        for clock in TICKS:
            if ahead or clock.hour not in off:
                world.now = day.instant(ahead, clock)
                world.services.step()


def wanted(day: Day) -> Counter[tuple[str, str, datetime]]:
    """Return who must be told when: on the evening before the dose, and on that after its day."""
    return Counter(
        (number, kind, day.instant(ahead + evening, time(minute // 60, minute % 60)))
        for number, (ahead, minute) in HOMES.items()
        for kind, evening in (("dose", -1), ("repeat", 1))
        if FIRST <= ahead + evening < LAST
    )


def left(world: World) -> Counter[tuple[str, str, datetime]]:
    """Return who was told when, by the network's log."""
    kinds = {row.token: row.kind.split("_", 1)[0] for row in messages(world, *DOSES)}
    return Counter(
        (text.to, kinds[text.token], text.at)
        for text in world.gateway.texts()
        if text.token in kinds
    )


@pytest.mark.parametrize("day", DAYS)
def test_each_dose_is_told_once_at_the_home_s_minute_and_until_eight(
    world: World, day: Day
) -> None:
    settle_in(world, day)

    live_through(world, day)

    assert left(world) == wanted(day)
    assert compare(world.services.sessions, world.gateway).wrong == ()
    local = [day.local(text.at).time() for text in world.gateway.texts()]
    assert all(time(17) <= clock < time(20) for clock in local)
    evenings = [row for row in messages(world) if row.evening is not None]
    assert [row.expires_at for row in evenings] == [
        day.instant((row.evening - day.on).days, time(20)) for row in evenings if row.evening
    ]


def test_a_reminder_whose_evening_was_slept_through_is_over_and_never_leaves(world: World) -> None:
    """The machine is off on the evening of the change, and on again just at eight."""
    day = Day(zone="Europe/Berlin", on=date(2027, 3, 28))
    settle_in(world, day)

    live_through(world, day, off=range(17, 20))

    missed = wanted(day) - left(world)
    assert {day.local(at).date() for _, _, at in missed} == {day.on}
    assert len(missed) == 2  # a reminder, and the repeat of another
    over = [row for row in messages(world, *DOSES) if row.state is State.EXPIRED]
    assert {(row.number, row.evening) for row in over} == {(to, day.on) for to, _, _ in missed}
    assert left(world) - wanted(day) == Counter()
