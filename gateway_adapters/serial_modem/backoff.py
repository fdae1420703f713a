"""How long to wait before a lost modem is tried again. Pure, but for the draw handed in."""

from collections.abc import Callable


class Backoff:
    """Waits that double from `first_s` to `longest_s`, each drawn between nothing and its whole."""

    def __init__(self, *, first_s: float, longest_s: float, draw: Callable[[], float]) -> None:
        """Start at the first wait; `draw` gives a number from 0 to 1."""
        self._first_s = first_s
        self._longest_s = longest_s
        self._draw = draw
        self._next_s = first_s

    def next_s(self) -> float:
        """Return the next wait in seconds; at least a tenth of its whole, so that none is none."""
        whole_s = min(self._next_s, self._longest_s)
        self._next_s = min(2 * self._next_s, self._longest_s)
        return whole_s * max(0.1, self._draw())

    def reset(self) -> None:
        """Begin again at the first wait."""
        self._next_s = self._first_s
