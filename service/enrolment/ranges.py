"""Whether a number or a line of text may stand in a field. Pure."""

import unicodedata

from service.enrolment.faults import Fault, FaultCode
from service.records.limits import LIMITS


def range_fault(field: str, value: float | None, *, limit: str | None = None) -> Fault | None:
    """Return why a number cannot stand in a field; None where it can, or where nothing stands.

    `limit` names the row of the limits, where it is not that of the field.
    """
    if value is None:
        return None
    limits = LIMITS.numbers[limit or field]
    if not limits.at_least <= value <= limits.at_most:
        values = {"least": limits.at_least, "most": limits.at_most}
        return Fault(field=field, code=FaultCode.OUT_OF_RANGE, values=values)
    if limits.whole and not float(value).is_integer():
        return Fault(field=field, code=FaultCode.WHOLE_NUMBER)
    return None


def line_fault(field: str, value: str, *, limit: str) -> Fault | None:
    """Return why a line of text cannot stand in a field that must be filled."""
    if not value.strip():
        return Fault(field=field, code=FaultCode.NEEDED)
    if any(unicodedata.category(character) == "Cc" for character in value.strip()):
        return Fault(field=field, code=FaultCode.ONE_LINE)
    most = LIMITS.characters[limit]
    if len(value.strip()) > most:
        return Fault(field=field, code=FaultCode.TOO_LONG, values={"most": most})
    return None
