"""How large a plot is, from the way it was measured. Pure."""

from dataclasses import dataclass

from service.agronomy.rules import rules
from service.enrolment.faults import Fault, FaultCode
from service.enrolment.ranges import range_fault

STEP_M = 0.75  # common practice, no source: a grown-up's step on a field
_CM_PER_M = 100
_DECIMALS = 4  # a square centimetre


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareMetres:
    """An area that is known already."""

    area_m2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Steps:
    """A plot walked along two sides; `step_m` is the walker's step in metres."""

    steps_along: float
    steps_across: float
    step_m: float = STEP_M


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A plot counted in rows, each so many metres long and so many centimetres from the next."""

    row_count: float
    row_length_m: float
    row_apart_cm: float


Ground = SquareMetres | Steps | Rows


@dataclass(frozen=True, slots=True, kw_only=True)
class Area:
    """An area in square metres, and how it was told; blank where it was told so itself."""

    m2: float
    measured: str


def area_of(ground: Ground) -> Area | tuple[Fault, ...]:
    """Return the area to the square centimetre, or what is wrong with the measures."""
    faults = _measures(ground)
    if faults:
        return faults
    area = _area(ground)
    least, most = rules().least_area_m2, rules().most_area_m2
    if not least <= area.m2 <= most:
        values = {"least": least, "most": most, "area_m2": area.m2}
        return (Fault(field=_first_field(ground), code=FaultCode.AREA, values=values),)
    return area


def _area(ground: Ground) -> Area:
    match ground:
        case SquareMetres():
            return _told(ground.area_m2, "")
        case Steps():
            return _told(
                ground.steps_along * ground.steps_across * ground.step_m**2,
                f"{ground.steps_along:g} x {ground.steps_across:g} steps of {ground.step_m:g} m",
            )
        case Rows():
            return _told(
                ground.row_count * ground.row_length_m * ground.row_apart_cm / _CM_PER_M,
                f"{ground.row_count:g} rows x {ground.row_length_m:g} m,"
                f" {ground.row_apart_cm:g} cm apart",
            )


def _told(m2: float, measured: str) -> Area:
    return Area(m2=round(m2, _DECIMALS), measured=measured)


def _measures(ground: Ground) -> tuple[Fault, ...]:
    match ground:
        case SquareMetres():
            return ()  # the area itself is held against its limits
        case Steps():
            return _out_of_range(
                steps_along=ground.steps_along,
                steps_across=ground.steps_across,
                step_m=ground.step_m,
            )
        case Rows():
            return _out_of_range(
                row_count=ground.row_count,
                row_length_m=ground.row_length_m,
                row_apart_cm=ground.row_apart_cm,
            )


def _out_of_range(**told: float) -> tuple[Fault, ...]:
    faults = (range_fault(name, value) for name, value in told.items())
    return tuple(fault for fault in faults if fault is not None)


def _first_field(ground: Ground) -> str:
    match ground:
        case SquareMetres():
            return "area_m2"
        case Steps():
            return "steps_along"
        case Rows():
            return "row_count"
