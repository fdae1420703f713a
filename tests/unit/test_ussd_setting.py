"""The room of a USSD screen is a setting of the route."""

import pytest

from service.route_settings import USSD_LEAST, USSD_MAX, USSD_MOST, read_routes
from tests.world import World, an_association

ROUTE = {"adapter": "fake", "sender": "15050"}


@pytest.mark.parametrize(
    ("given", "most"),
    [
        pytest.param({}, 160, id="usual"),
        pytest.param({"ussd_max": USSD_LEAST}, 120, id="least"),
        pytest.param({"ussd_max": USSD_MOST}, 182, id="most"),
    ],
)
def test_the_room_is_read(given: dict[str, int], most: int) -> None:
    faults: list[str] = []

    (route,) = read_routes({**ROUTE, **given}, faults)

    assert (route.ussd_max, faults) == (most, [])


@pytest.mark.parametrize("given", [119, 183, True, "160", 150.5], ids=str)
def test_a_room_that_no_gateway_has_is_refused(given: object) -> None:
    faults: list[str] = []

    (route,) = read_routes({**ROUTE, "ussd_max": given}, faults)

    assert route.ussd_max == USSD_MAX
    assert faults == ["route.ussd_max must be a whole number of letters, from 120 to 182."]


def test_the_lane_has_the_room_of_its_route(world: World) -> None:
    an_association(world)

    lane = world.services.lane()

    assert lane is not None
    assert lane.ussd_max == USSD_MAX
