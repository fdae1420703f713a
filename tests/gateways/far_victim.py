"""Sends what waits on a route, to be killed before it has written down what came of it.

Called with the database's address, the route's id, the gateway's make and its settings as JSON.
"""

import json
import sys

from gateway_adapters import registry
from service.dispatch.dispatcher import Dispatcher, Lane, Watch
from service.records.engine import Sessions, open_engine
from tests.gateways.far_world import EVENING, written
from tests.outgoing import StoppedClock

if __name__ == "__main__":
    address, route_id, make, settings = sys.argv[1:]
    clock = StoppedClock(at=EVENING)
    lane = Lane(
        association_id=1,
        route_id=int(route_id),
        name="main",
        sender="15050",
        language="en",
        gateway=registry.open_gateway(make, json.loads(settings), clock),
    )
    Dispatcher(
        Sessions(open_engine(address)), lane, render=written, watch=Watch(clock=clock)
    ).run_once()
