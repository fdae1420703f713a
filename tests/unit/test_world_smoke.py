"""The first evening of a season, from enrolment to answer."""

from pathlib import Path

from tests.world import World, doses, enrol


def test_a_reminder_goes_the_evening_before_and_its_answer_is_noted(tmp_path: Path) -> None:
    world = World(folder=tmp_path)
    enrolled = enrol(world)
    world.tick("2027-03-14T17:59")
    before = len(world.bodies())
    world.tick("2027-03-14T18:00")
    world.text("A1", at="2027-03-15T12:00")

    assert before == 0
    assert [body[:40] for body in world.bodies()] == [
        "Mon 15 Mar: maize, plot A. 21 L urine, n",
        "Noted, thank you: A1 done Mon 15 Mar. Ne",
    ]
    assert [dose.state for dose in doses(world, enrolled)][:2] == ["done", "planned"]
    world.close()
