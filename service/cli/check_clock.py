"""The clock: does this machine's agree with the database server's and with what was stored."""

from datetime import datetime

from service.cli.check_finding import Asked, Finding, well, wrong
from service.outbox.clock_faults import clock_faults
from service.records.store_facts import newest_instant, server_time

SLACK_S = 60.0  # project choice: nothing here is done to the second

_UNITS = ((172_800.0, 86_400.0, "days"), (7_200.0, 3_600.0, "hours"), (120.0, 60.0, "minutes"))
_SET_IT = "Have it set by a time server (NTP), for the texts go by it."


def clock_findings(asked: Asked) -> list[Finding]:
    """Return what is wrong with the clock."""
    return [*server_findings(asked), *stored_findings(asked), *watch_findings(asked)]


def watch_findings(asked: Asked) -> list[Finding]:
    """Return whether the service itself doubts this machine's clock, and holds all sending."""
    with asked.sessions.read() as session:
        return [wrong(fault) for fault in clock_faults(session, asked.machine())]


def server_findings(asked: Asked) -> list[Finding]:
    """Return how this machine's clock stands to the database server's, where there is one."""
    server = server_time(asked.sessions.engine)
    if server is None:
        return []
    ahead_s = seconds_between(server, asked.machine())
    if abs(ahead_s) <= SLACK_S:
        return [well("This machine's clock agrees with the database server's.")]
    side = "ahead of" if ahead_s > 0 else "behind"
    return [
        wrong(
            f"This machine's clock is {span(abs(ahead_s))} {side} the database server's; one of the"
            f" two is wrong. {_SET_IT}"
        )
    ]


def stored_findings(asked: Asked) -> list[Finding]:
    """Return whether something stored is still to come, as it is when a clock was set back."""
    with asked.sessions.read() as session:
        newest = newest_instant(session)
    ahead_s = 0.0 if newest is None else seconds_between(asked.clock(), newest)
    if ahead_s <= SLACK_S:
        return [well("Nothing stored lies in the future of the clock.")]
    return [
        wrong(
            f"A text was stored {span(ahead_s)} in the future: this machine's clock is behind, or"
            f" was ahead then. {_SET_IT}"
        )
    ]


def seconds_between(earlier: datetime, later: datetime) -> float:
    """Return the seconds from one instant to the other."""
    return (later - earlier).total_seconds()


def span(seconds: float) -> str:
    """Return a time in words, in the largest unit of which it has two or more."""
    for least, unit, name in _UNITS:
        if seconds >= least:
            return f"{seconds / unit:.0f} {name}"
    return f"{seconds:.0f} seconds"
