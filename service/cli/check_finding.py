"""What `furrowbell check` finds, and what it is found in."""

from collections.abc import Callable
from dataclasses import dataclass

from service.clock import Clock
from service.config import Settings
from service.records.engine import Sessions


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One line of the check: a sentence without a phone number or a text in it.

    The sentence of what is not well says what to do about it.
    """

    is_well: bool
    sentence: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What a look may ask.

    `clock` is the service's time, in the demo a pretended one; `machine` is this machine's.
    """

    settings: Settings
    sessions: Sessions
    clock: Clock
    machine: Clock


Look = Callable[[Asked], list[Finding]]


def well(sentence: str) -> Finding:
    """Return that something is as it should be."""
    return Finding(is_well=True, sentence=sentence)


def wrong(sentence: str) -> Finding:
    """Return that something needs a person; the sentence says what that person should do."""
    return Finding(is_well=False, sentence=sentence)
