"""Where each container stands, from what happened to it. Pure."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.regimes import container_ready
from service.records.containers import ContainerBundle
from service.records.fields import ContainerEventKind


class CanState(StrEnum):
    """Where a container stands."""

    EMPTY = "empty"
    FILLING = "filling"
    RESTING = "resting"
    READY = "ready"


@dataclass(frozen=True, slots=True, kw_only=True)
class Can:
    """A container today: its number, state, and the day it is or was ready (None: never here)."""

    container_id: int
    household_id: int
    number: int
    state: CanState
    sealed_on: date | None
    ready_on: date | None


def can_standing(bundle: ContainerBundle, *, store_c: float | None, today: date) -> Can:
    """Return where a container stands on a day.

    Adding to a sealed container restarts its rest; emptying or opening it anew ends it.
    """
    sealed_on: date | None = None
    filling = False
    for event in bundle.events:
        match event.kind:
            case ContainerEventKind.OPENED:
                sealed_on, filling = None, True
            case ContainerEventKind.SEALED:
                sealed_on, filling = event.on, False
            case ContainerEventKind.REFILLED:
                sealed_on = event.on if sealed_on is not None else None
            case ContainerEventKind.EMPTIED:
                sealed_on, filling = None, False
    ready_on = None
    if sealed_on is not None:
        ready_on = container_ready(
            sealed_on,
            regime=bundle.regime,
            longer_rest=bundle.container.longer_rest,
            store_c=store_c,
        ).ready_on
    return Can(
        container_id=bundle.container.id,
        household_id=bundle.container.household_id,
        number=bundle.container.number,
        state=_state(sealed_on, ready_on, filling=filling, today=today),
        sealed_on=sealed_on,
        ready_on=ready_on,
    )


def _state(
    sealed_on: date | None, ready_on: date | None, *, filling: bool, today: date
) -> CanState:
    if sealed_on is None:
        return CanState.FILLING if filling else CanState.EMPTY
    return CanState.READY if ready_on is not None and ready_on <= today else CanState.RESTING


def ready_can(cans: Sequence[Can], *, on: date) -> Can | None:
    """Return the container to use on a day: the one that has been ready longest."""
    ready = [can for can in cans if can.ready_on is not None and can.ready_on <= on]
    return min(ready, key=lambda can: (can.ready_on or on, can.number), default=None)


def name_needed(cans: Sequence[Can]) -> bool:
    """Say whether a text must name the can: more than one is not empty."""
    return sum(can.state is not CanState.EMPTY for can in cans) > 1
