"""What the looks of `furrowbell check` are given by their tests."""

from datetime import datetime
from pathlib import Path

from service.cli.check_finding import Asked, Finding
from service.records.engine import Sessions
from tests.unit.outbox.queue import NOW
from tests.world import settings_for


def asked_at(
    sessions: Sessions, folder: Path, *, now: datetime = NOW, machine: datetime = NOW
) -> Asked:
    """Return what a look asks when the service's time is `now`."""
    return Asked(
        settings=settings_for(folder),
        sessions=sessions,
        clock=lambda: now,
        machine=lambda: machine,
    )


def faults(found: list[Finding]) -> list[str]:
    """Return the sentences of what is wrong."""
    return [finding.sentence for finding in found if not finding.is_well]
