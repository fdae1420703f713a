"""Rehearse a crash: end this process, and no other, at a marked point of the work."""

import os
import signal

from service.dispatch.dispatcher import Mark, no_mark
from service.errors import RefusedError

POINTS = (
    *("before-claim", "after-claim", "before-submit", "after-submit", "after-settle"),
    "after-receipt",
)


def crash_at(wish: str | None) -> Mark:
    """Return a mark that kills this process at the n-th passing of a point.

    Args:
        wish: such as `after-claim:12`; None for no crash.

    Raises:
        RefusedError: `crash`, where the wish names no point or no count.
    """
    if not wish:
        return no_mark
    point, _, count = wish.partition(":")
    if point not in POINTS or not count.isdigit() or int(count) < 1:
        raise RefusedError("crash", f"Name a point and a count, such as {POINTS[0]}:12.")
    left = {point: int(count)}

    def mark(passed: str) -> None:
        if passed not in left:
            return
        left[passed] -= 1
        if left[passed] == 0:
            os.kill(os.getpid(), signal.SIGKILL)

    return mark
