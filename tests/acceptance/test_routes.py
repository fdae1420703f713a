"""What a month may cost, and by which route texts leave when one of two refuses."""

from collections import Counter
from datetime import date

import pytest
from flask.testing import FlaskClient

from gateway_adapters.contract import Rejected, RejectKind
from service.messages.lifecycle import State
from service.records.traffic import TaskKind
from tests.web.reading import headings_of, links_of, text_of
from tests.web.route_office import administrator, second_route, with_ceiling
from tests.web.ward_forms import sent
from tests.world import Enrolled, World, enrol
from tests.world_looks import calls, dose, messages

BUSY = Rejected(kind=RejectKind.TRANSIENT, code="busy")
OVER = "This month's segments are spent (100 of 100): only answers to growers and safety texts go."
RESTS = "rests until Sat 27 Mar 18:30: it refused 5 texts one after another."


def village(world: World, count: int) -> dict[str, Enrolled]:
    """Enrol so many homes, each with a dose on 28 March; return them by their phones' numbers."""
    return {
        f"+25510000{1000 + place}": enrol(
            world, code=f"H{place:03d}", number=f"+25510000{1000 + place}"
        )
        for place in range(count)
    }


@pytest.mark.slow
def test_beyond_the_ceiling_a_reminder_becomes_a_call_and_an_answer_still_goes(
    world: World, client: FlaskClient
) -> None:
    """M11: ceiling 100 segments: reminder 101 is held and its home called; STOP is answered."""
    homes = village(world, 101)
    sent(administrator(world), "/routes/ceiling", "/routes", segments="100")
    world.tick("2027-03-27T18:00")
    told = {number for number in homes if world.bodies(number)}
    (held,) = homes.keys() - told
    stopping = min(told)
    shown = text_of(client.get("/").text), text_of(client.get("/routes").text)
    world.text("STOP", number=stopping, at="2027-03-27T18:30")
    world.tick("2027-03-27T19:59")
    before = calls(world, TaskKind.NOT_TOLD)
    world.tick("2027-03-27T20:00")
    world.tick("2027-03-28T06:00")
    today = client.get("/").text

    assert OVER in shown[0]
    assert OVER in shown[1]
    assert [row.kind for row in messages(world) if row.token and row.number == stopping] == [
        "dose_rain_assumed",
        "stop_ok",
    ]
    assert len(world.bodies(stopping)) == 2
    assert world.bodies(held) == []
    assert before == []
    assert [task.dose_id for task in calls(world, TaskKind.NOT_TOLD)] == [
        dose(world, homes[held], 2).id
    ]
    assert "Not told (1)" in headings_of(today, "h2")
    assert f"H{int(held[-4:]) - 1000:03d}" in text_of(today)


def test_the_coming_week_is_reckoned_before_it_is_paid_for(world: World) -> None:
    """M11: five homes with a dose on 28 March: at most 5 texts on the 27th and 5 on the 29th."""
    village(world, 5)
    world.tick("2027-03-27T12:00")
    words = text_of(administrator(world).get("/routes").text)

    assert "Segments that reminders take at most: 10" in words
    assert "Sat 27 Mar 5 Sun 28 Mar 0 Mon 29 Mar 5 Tue 30 Mar 0" in words


def test_at_four_fifths_of_the_ceiling_the_coordinator_is_warned(
    world: World, client: FlaskClient
) -> None:
    """M11: ceiling 5 segments: nothing is said after 3 texts, Today and the routes warn after 4."""
    with_ceiling(world, 5)
    homes = village(world, 3)
    world.tick("2027-03-27T18:00")
    three = text_of(client.get("/").text)
    world.text("A UP", number=min(homes), at="2027-03-27T18:05")
    four = text_of(client.get("/").text)

    assert "This month's segments" not in three
    assert "This month's segments run out: 4 of 5 are spent. Look at the routes" in four


def test_a_route_that_refuses_five_in_a_row_rests_and_the_other_one_sends(world: World) -> None:
    """M12: route 1 refuses five -> route 2 is used, the pages show it, and no text goes twice."""
    spare = second_route(world)
    client = administrator(world)
    homes = village(world, 8)
    world.tick("2027-03-27T17:50")
    world.gateway.script = [BUSY] * 8
    world.tick("2027-03-27T18:00")
    none_yet = [*world.gateway.texts(), *spare.texts()]
    world.tick("2027-03-27T18:01")
    by_spare = [text.to for text in spare.texts()]
    today, shown = client.get("/").text, text_of(client.get("/routes").text)
    world.text("A UP", number=min(homes), at="2027-03-27T18:05")
    for hour in ("18:10", "18:29", "18:45", "19:59"):
        world.tick(f"2027-03-27T{hour}")

    reached = Counter(text.to for text in (*world.gateway.texts(), *spare.texts()))
    assert none_yet == []
    assert sorted(by_spare) == sorted(homes)
    assert f"Route main {RESTS}" in text_of(today)
    assert links_of(today)["Look at the routes"] == "/routes"
    assert f"main R{RESTS[1:]}" in shown
    assert "spare Sends. Gateway: pretend phones; nothing leaves this computer." in shown
    assert shown.count("It says of itself: up") == 2
    assert world.gateway.texts() == []
    assert reached == Counter([*homes, min(homes)])
    reminders = [row for row in messages(world, "dose") if row.evening == date(2027, 3, 27)]
    assert {row.state for row in reminders} == {State.DELIVERED}


def test_a_rested_route_is_used_again(world: World) -> None:
    """M12: after its half hour route 1 comes first again."""
    spare = second_route(world)
    village(world, 5)
    world.tick("2027-03-27T17:50")
    world.gateway.script = [BUSY] * 5
    world.tick("2027-03-27T18:00")
    world.tick("2027-03-27T18:01")
    world.tick("2027-03-29T18:00")

    assert (len(spare.texts()), len(world.gateway.texts())) == (5, 5)
    assert "main Sends." in text_of(administrator(world).get("/routes").text)
