"""What was saved, for the next page to say."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from service.agronomy.buffers import BufferWarning
from service.agronomy.season_plan import SeasonPlan
from service.enrolment.ground import Area
from service.enrolment.missing import Missing
from service.records.site import Hazard


class Sign(StrEnum):
    """What those who share a phone are told apart by."""

    LETTER = "letter"
    CAN_NUMBER = "can-number"
    LABEL = "label"


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSign:
    """A sign that had to change, since another household on the phone has it.

    A letter becomes None where all eight are taken: that plot is served by calls.
    """

    sign: Sign
    before: str
    after: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhoneAdded:
    """A phone that serves the household now, with all that the household must relabel.

    `stopped`: its last own word was STOP, so nothing is sent and no yes can be recorded until it
    texts START. `shared_with` are the codes of the other households on it.
    """

    phone_id: int
    number: str  # E.164
    shared_with: tuple[str, ...]
    stopped: bool
    new_signs: tuple[NewSign, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentRecorded:
    """A spoken yes stands in the records; the invitation goes by itself."""

    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ConsentRefused:
    """The household said no: nothing is sent to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """Nothing was recorded: the phone has said STOP, and only its own START ends that."""

    phone_id: int


ConsentOutcome = ConsentRecorded | ConsentRefused | Stopped


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotAdded:
    """A plot; `letter` is None for a ninth on its phones, which is served by calls.

    With `hazards` it gets nothing until somebody decides.
    """

    plot_id: int
    code: str
    letter: str | None
    area: Area
    warnings: tuple[BufferWarning, ...]
    hazards: tuple[Hazard, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantingAdded:
    """A planting with the plan that follows from it."""

    planting_id: int
    code: str
    plan: SeasonPlan


@dataclass(frozen=True, slots=True, kw_only=True)
class CanAdded:
    """A container; `ready_on` is None while it is not sealed, or its store is no proof."""

    container_id: int
    number: int
    ready_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Enrolled:
    """A household as it was saved, and what it still lacks."""

    household_id: int
    code: str
    label: str
    phone: PhoneAdded | None
    consent: ConsentOutcome | None
    plot: PlotAdded | None
    planting: PlantingAdded | None
    can: CanAdded | None
    missing: tuple[Missing, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdChanged:
    """A household as it stands after a change; `columns` names what is different."""

    household_id: int
    columns: tuple[str, ...]
    missing: tuple[Missing, ...]
