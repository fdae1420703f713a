"""A newcomer on a shared phone does not displace a neighbour's dose."""

from pathlib import Path

from service.records.people import Consent
from tests.world import World, enrol


def test_an_invitation_waits_for_an_evening_without_a_dose(tmp_path: Path) -> None:
    world = World(folder=tmp_path)
    enrol(world, code="H01", letter="A", can=1)
    world.tick("2027-03-14T09:00")
    enrol(world, code="H02", letter="D", can=2, consent=Consent.VERBAL)
    world.tick("2027-03-14T10:00")
    world.tick("2027-03-14T18:00")
    on_the_evening = [body.split(":")[0] for body in world.bodies()]
    world.text("A1", at="2027-03-15T07:00")
    world.tick("2027-03-15T08:00")

    assert on_the_evening == ["Mon 15 Mar"]
    assert world.bodies()[-1].startswith("Test Growers: you asked for field reminders")
    world.close()
