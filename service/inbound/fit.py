"""Whether what a text says fits the phone's doses and cans; plain values in and out."""

from collections.abc import Collection, Sequence
from enum import StrEnum

from service.inbound.codes import Code
from service.inbound.grammar import Said


class Standing(StrEnum):
    """How all doses that a text names stand; UNFIT needs a person."""

    OPEN = "open"
    DONE = "done"
    UNFIT = "unfit"


def standing_of(
    codes: Sequence[Code],
    *,
    open_codes: Collection[Code],
    done_codes: Collection[Code],
    highest: int,
) -> tuple[Standing, str]:
    """Return how the doses stand, with the reason in a few words if they do not fit.

    One dose that does not fit makes all of them unfit: half a text is never taken.
    """
    numbers = [number for _, number in codes]
    if 0 in numbers:
        return Standing.UNFIT, "dose 0"
    if any(number > highest for number in numbers):
        return Standing.UNFIT, "dose number"
    if all(code in open_codes for code in codes):
        return Standing.OPEN, ""
    if all(code in done_codes for code in codes):
        return Standing.DONE, ""
    if all(code in open_codes or code in done_codes for code in codes):
        return Standing.UNFIT, "partly noted"
    return Standing.UNFIT, "not due"


def can_sealed(said: Said, filling: Sequence[int]) -> int | str:
    """Return the number of the can that was sealed, or why it is unsure.

    A count that is also the number of a can being filled may name that can: `CAN 3 4`.
    """
    if (said.can is None and len(filling) != 1) or (said.bare_count and said.days_ago in filling):
        return "which can?"
    label = filling[0] if said.can is None else said.can
    return label if label in filling else "can number"
