"""Whole numbers that follow from a seed alone, whatever the library or its release.

The mixing is splitmix64 (Steele, Lea and Flood 2014; constants from memory).
"""

from collections.abc import Sequence
from typing import TypeVar

_MASK = (1 << 64) - 1
_Thing = TypeVar("_Thing")


class Dice:
    """Rolls that are the same for the same seed, for ever."""

    def __init__(self, seed: int) -> None:
        self._state = seed * 0xD1342543DE82EF95 & _MASK  # neighbouring seeds start far apart

    def between(self, least: int, most: int) -> int:
        """Return a whole number, both ends included."""
        return least + self._next() % (most - least + 1)

    def pick(self, things: Sequence[_Thing]) -> _Thing:
        """Return one of the things."""
        return things[self._next() % len(things)]

    def happens(self, percent: int) -> bool:
        """Say yes so many times in a hundred."""
        return self._next() % 100 < percent

    def _next(self) -> int:
        self._state = (self._state + 0x9E3779B97F4A7C15) & _MASK
        mixed = self._state
        mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9 & _MASK
        mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EB & _MASK
        return mixed ^ (mixed >> 31)
