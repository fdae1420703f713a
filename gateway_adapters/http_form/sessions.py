"""Which step of each USSD session waits for its screen. In memory, and bounded.

The request and its answer are one HTTP exchange, so one process sees both.
"""

from collections import OrderedDict, deque
from dataclasses import dataclass, field
from threading import Lock

from gateway_adapters.events import UssdEnd, UssdEvent

MOST_SESSIONS = 10_000  # ours; a session lives three minutes at most
MOST_STEPS = 100  # ours; nobody presses so many keys in three minutes


@dataclass(slots=True)
class _Session:
    """The last steps of a session, and whether the newest waits for its screen."""

    steps: deque[str] = field(default_factory=lambda: deque(maxlen=MOST_STEPS))
    waits: bool = False


class Sessions:
    """Remembers the steps of sessions and whether the last was answered.

    A step that comes again under its id does not wait again. The session that was silent for
    longest is forgotten when there are too many, and its step is then gone.
    """

    def __init__(self) -> None:
        self._lock = Lock()
        self._sessions: OrderedDict[str, _Session] = OrderedDict()

    def note(self, event: UssdEvent) -> None:
        """Learn of a step."""
        with self._lock:
            session = self._sessions.setdefault(event.session, _Session())
            self._sessions.move_to_end(event.session)
            if event.event_id not in session.steps:
                session.steps.append(event.event_id)
                session.waits = not isinstance(event, UssdEnd)
            while len(self._sessions) > MOST_SESSIONS:
                self._sessions.popitem(last=False)

    def answer(self, session: str) -> bool:
        """Return whether a step waited for its screen; it then waits no longer."""
        with self._lock:
            known = self._sessions.get(session)
            if known is None or not known.waits:
                return False
            known.waits = False
            return True
