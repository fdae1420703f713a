"""How the modem is, for people: written by the worker, read by anyone, without any traffic."""

from dataclasses import dataclass, field
from datetime import datetime
from threading import Lock

from gateway_adapters.contract import Clock, Health, HealthState, Rejected
from gateway_adapters.serial_modem.sim_store import Usage

_WEAK = 10  # of 31, about -93 dBm: common practice, no source
_UNKNOWN_SIGNAL = 99  # TS 27.007, 8.5
_HOME, _ROAMING = 1, 5  # TS 27.007, 7.2
_NEARLY_FULL = 0.8
_MUCH_NOISE = 1000  # octets; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """How the work goes.

    Attributes:
        is_kept: the folder can be written.
        cap_reached: the day's amount has left.
        lost: events that were lost because too many waited.
        noise: octets on the line, since it was opened, that no modem should send.
    """

    is_kept: bool = True
    cap_reached: bool = False
    lost: int = 0
    noise: int = 0


@dataclass(slots=True)
class _Found:
    """What the modem said last; None is not known."""

    signal: int | None = None
    registration: int | None = None
    usage: Usage | None = None
    receipts: bool = True
    work: Work = field(default_factory=Work)


class Standing:
    """The trouble that keeps the modem from being used, or the notes on one that works."""

    def __init__(self, clock: Clock) -> None:
        self._clock = clock
        self._lock = Lock()
        self._found = _Found()
        self._trouble: Rejected | None = None
        self._since: datetime | None = None
        self._is_up = False
        self._is_closed = False

    @property
    def trouble(self) -> Rejected | None:
        """What each text is told while the modem cannot be used; None while it can, or may."""
        with self._lock:
            return self._trouble

    @property
    def is_up(self) -> bool:
        """Whether the modem is set up and answering."""
        with self._lock:
            return self._is_up

    def up(self) -> None:
        """Say that the modem works."""
        with self._lock:
            self._trouble, self._since, self._is_up = None, None, True

    def down(self, trouble: Rejected) -> None:
        """Say that the modem cannot be used; `trouble.detail` tells people why."""
        with self._lock:
            self._since = self._since or self._clock()
            self._trouble, self._is_up = trouble, False

    def closed(self) -> None:
        """Say that the gateway was closed."""
        with self._lock:
            self._is_closed = True

    def note_network(self, *, signal: int | None, registration: int | None) -> None:
        """Note the signal (0 to 31, 99 unknown) and the registration, as the modem tells them."""
        with self._lock:
            self._found.signal, self._found.registration = signal, registration

    def note_usage(self, usage: Usage | None) -> None:
        """Note how full the SIM is."""
        with self._lock:
            self._found.usage = usage

    def note_receipts(self, *, are_told: bool) -> None:
        """Note whether the modem hands on receipts."""
        with self._lock:
            self._found.receipts = are_told

    def note_work(self, work: Work) -> None:
        """Note how the work goes."""
        with self._lock:
            self._found.work = work

    def health(self) -> Health:
        """Return the state, with all that is not as it should be."""
        with self._lock:
            if self._is_closed:
                return Health(state=HealthState.DOWN, reason="The gateway was closed.")
            if self._trouble is not None:
                return Health(
                    state=HealthState.DOWN, reason=self._trouble.detail, since=self._since
                )
            if not self._is_up:
                return Health(
                    state=HealthState.DEGRADED, reason="The modem has not been reached yet."
                )
            faults = _faults(self._found)
        state = HealthState.DEGRADED if faults else HealthState.UP
        return Health(state=state, reason=" ".join(faults))


def _faults(found: _Found) -> list[str]:
    faults: list[str] = []
    if found.registration not in (None, _HOME, _ROAMING):
        faults.append("The modem is in no network; look at the antenna, the SIM and its credit.")
    elif found.registration == _ROAMING:
        faults.append("The modem is in another operator's network; texts may cost more.")
    if found.signal is not None and (found.signal < _WEAK or found.signal == _UNKNOWN_SIGNAL):
        faults.append("The signal is weak; move the modem or its antenna.")
    if found.usage is not None and found.usage.used >= _NEARLY_FULL * found.usage.total:
        faults.append("The SIM is nearly full of texts; they are deleted once they are stored.")
    if not found.receipts:
        faults.append("The modem hands on no receipts.")
    if not found.work.is_kept:
        faults.append("The modem's folder cannot be written; check that it exists and has room.")
    if found.work.cap_reached:
        faults.append("The day's amount of texts has left; the rest waits.")
    if found.work.lost:
        faults.append("Some receipts were lost because too many waited to be stored.")
    if found.work.noise >= _MUCH_NOISE:
        faults.append("The line to the modem is noisy; look at its cable and its power supply.")
    return faults
