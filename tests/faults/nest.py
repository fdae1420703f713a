"""Steps of the service, each in a process of its own that may be killed at a point of its work.

`python -m tests.faults.nest` reads a line of JSON a step and answers with the status that the
step's process ended with, minus the signal's number where it was killed. Most of a process's
start goes into imports, which are done here once; each step's process is a fork of this one.
"""

import json
import os
import signal
import sys
import traceback
from dataclasses import asdict, dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy.orm import configure_mappers

from service.bootstrap import Services, build
from service.config import Profile, Settings
from service.dispatch.dispatcher import Mark, no_mark
from service.route_settings import RouteSettings
from tests.faults.moods import MoodyGateway, MovedClock
from tests.fresh import TEXTS, shipped_texts
from tests.world import TEST_NUMBERS

FAILED = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A step of the service.

    Attributes:
        url: the database's address.
        network: the folder of the pretend network.
        association: its code.
        at: the instant, in ISO 8601.
        crash: the point and which passing of it kills, such as `after-claim:2`; empty for none.
        seed: what the network's moods follow from, None for a network where all goes well.
        rate_per_s: of the route; a batch holds no more.
    """

    url: str
    network: str
    association: str
    at: str
    crash: str = ""
    seed: int | None = None
    rate_per_s: float = 500.0

    def line(self) -> str:
        """Return the step as the nest reads it."""
        return json.dumps(asdict(self)) + "\n"


def services_of(step: Step) -> Services:
    """Build the services that do a step, and die where it says."""
    clock = MovedClock(datetime.fromisoformat(step.at))
    mark = _mark(step.crash)
    gateway = MoodyGateway(Path(step.network), clock, seed=step.seed, mark=mark)
    route = RouteSettings(
        name="main",
        association=step.association,
        adapter="fake",
        sender="15050",
        rate_per_s=step.rate_per_s,
        settings={},
    )
    settings = Settings(
        profile=Profile.LIVE,
        database_url=step.url,
        texts=TEXTS,
        test_numbers=TEST_NUMBERS,
        allowed_countries=("TZ",),
        routes=(route,),
    )
    services = build(settings, gateway=gateway, catalogue=shipped_texts(), clock=clock, mark=mark)
    gateway.meanwhile = lambda: [services.receiver(lane).run_once() for lane in services.lanes()]
    return services


def _mark(crash: str) -> Mark:
    if not crash:
        return no_mark
    point, _, count = crash.partition(":")
    left = int(count)

    def passed(by: str) -> None:
        nonlocal left
        left -= by == point
        if left == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    return passed


def _run(line: str) -> None:
    """Do a step in this process, which ends with it."""
    status = FAILED
    try:
        services_of(Step(**json.loads(line))).step()
        status = 0
    except BaseException:  # noqa: BLE001 -- a fork must never go on with its parent's work
        traceback.print_exc()
    finally:
        sys.stderr.flush()
        os._exit(status)


def main() -> None:
    """Do every step that is asked for."""
    shipped_texts()
    configure_mappers()
    for line in sys.stdin:
        child = os.fork()
        if child == 0:
            _run(line)
        _, how = os.waitpid(child, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(how)}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
