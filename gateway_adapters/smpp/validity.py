"""A text's validity on the wire, never longer than asked (SMPP 3.4, 7.1.1). Pure."""

from datetime import UTC, datetime
from enum import StrEnum

_MINUTE_S = 60
_HOUR_S = 60 * _MINUTE_S
_DAY_S = 24 * _HOUR_S
_LONGEST_S = 30 * _DAY_S  # a month's length is the centre's guess, so none is asked for


class ValidityForm(StrEnum):
    """How the end of the validity is written; some centres refuse the relative form."""

    RELATIVE = "relative"
    ABSOLUTE = "absolute"


def validity_period(form: ValidityForm, *, left_s: float, until: datetime) -> str:
    """Return the field: what is left, in whole seconds and at most 30 days, or the instant."""
    if form is ValidityForm.ABSOLUTE:
        return f"{until.astimezone(UTC):%y%m%d%H%M%S}000+"
    left = min(int(left_s), _LONGEST_S)
    days, left = divmod(left, _DAY_S)
    hours, left = divmod(left, _HOUR_S)
    minutes, seconds = divmod(left, _MINUTE_S)
    return f"0000{days:02}{hours:02}{minutes:02}{seconds:02}000R"
