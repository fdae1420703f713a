"""Whether the processes of the service live."""

from service.cli.check_finding import Asked, Finding, well, wrong
from service.outbox.retry import worker_forgotten, worker_silent
from service.records.workers import WorkerKind, WorkerRow, workers_since

_AT_WORK = (WorkerKind.SERVE, WorkerKind.WORK)


def worker_findings(asked: Asked) -> list[Finding]:
    """Say which processes live, which fell silent, and which routes nobody serves.

    One that fell silent is no fault while others serve its routes.
    """
    now = asked.machine()
    with asked.sessions.read() as session:
        rows = workers_since(session, worker_forgotten(now))
    alive = [row for row in rows if row.seen_at > worker_silent(now)]
    served = {name for row in alive if row.kind in _AT_WORK for name in row.routes}
    found = [well(f"Process {row.place} ({row.kind.value}) lives.") for row in alive]
    return found + [_silent(row, served) for row in rows if row not in alive]


def _silent(row: WorkerRow, served: set[str]) -> Finding:
    seen = f"{row.seen_at:%Y-%m-%d %H:%M} UTC"
    said = f"Process {row.place} ({row.kind.value}) fell silent at {seen} without ending"
    missing = sorted(set(row.routes) - served) if row.kind in _AT_WORK else []
    if missing:
        return wrong(
            f"{said}, and nobody serves {', '.join(missing)}: start `furrowbell serve`, or"
            " `furrowbell work`, again. Texts that it had in hand are listed as in doubt."
        )
    return well(f"{said}; others do its work.")
