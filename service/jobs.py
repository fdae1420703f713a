"""The ticker: a row a timed job. What is due stands in the database; a lost tick is a delay."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from logging import getLogger

from apscheduler.schedulers.background import BackgroundScheduler

from service.bootstrap import Services
from service.config import Profile
from service.dispatch.clock_watch import ClockWatch
from service.records.faults import STORE_FAULTS

log = getLogger("furrowbell.jobs")


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Something done again and again."""

    id: str
    every_s: float
    run: Callable[[Services], None]


STEP = Job(id="step", every_s=2.0, run=Services.step)


def watched(services: Services) -> Services:
    """Return the services with their clock watched, as they must be where they run by it.

    A step at a given instant, a simulation and a test name their time, and are not watched; nor is
    the demo, whose time is pretended.
    """
    if services.settings.profile is Profile.DEMO:
        return services
    watch = ClockWatch(services.sessions, services.clock)
    return replace(services, clock=watch.clock, watch=watch)


def start_ticker(services: Services, jobs: Sequence[Job]) -> BackgroundScheduler:
    """Return a running scheduler; it holds no state, and each job runs once at a time."""
    scheduler = BackgroundScheduler(timezone="UTC")
    for job in jobs:
        scheduler.add_job(
            _guarded,
            "interval",
            args=(job, services),
            seconds=job.every_s,
            id=job.id,
            coalesce=True,
            max_instances=1,
            misfire_grace_time=None,
        )
    scheduler.start()
    return scheduler


def _guarded(job: Job, services: Services) -> None:
    try:
        job.run(services)
    except STORE_FAULTS:
        # the database is away or busy: nothing was lost, and the next tick tries again
        log.exception("job failed", extra={"job": job.id})
