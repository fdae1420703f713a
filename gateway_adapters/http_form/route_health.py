"""How a route is, told by what last came of a text. No traffic, no secrets, numbers or texts."""

from threading import Lock

from gateway_adapters.contract import (
    Accepted,
    Ambiguous,
    Clock,
    Health,
    HealthState,
    Outcome,
    Rejected,
    RejectKind,
    Scope,
)


class RouteHealth:
    """The route's state: up until something says otherwise."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._lock = Lock()
        self._health = Health(state=HealthState.UP)

    @property
    def now(self) -> Health:
        """The state now."""
        return self._health

    def note(self, outcome: Outcome) -> None:
        """Learn from the outcome of a text."""
        match outcome:
            case Accepted():
                self.set(HealthState.UP)
            case Ambiguous():
                self.set(HealthState.DEGRADED, "The last text got no clear answer.")
            case Rejected(scope=Scope.MESSAGE):
                self.set(HealthState.UP)
            case Rejected(kind=RejectKind.THROTTLED, detail=detail):
                self.set(HealthState.DEGRADED, detail)
            case Rejected(detail=detail):
                self.set(HealthState.DOWN, detail)

    def set(self, state: HealthState, reason: str = "") -> None:
        """Set the state; `since` stays where it was as long as the state does."""
        with self._lock:
            if state is HealthState.UP:
                self._health = Health(state=state)
                return
            same = self._health.state is state
            since = self._health.since if same else self._clock()
            self._health = Health(state=state, reason=reason, since=since)
