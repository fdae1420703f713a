"""How long a text may wait in the network (relative TP-VP, 3GPP TS 23.040, 9.2.3.12.1). Pure."""

LEAST_S = 5 * 60
_MINUTE_S, _HALF_DAY_MIN, _DAY_MIN = 60, 12 * 60, 24 * 60
_HALF_HOURS_FROM, _DAYS_FROM, _WEEKS_FROM = 143, 166, 192
_LONGEST_DAYS, _LEAST_WEEKS, _MOST = 30, 5, 255


def relative_validity(seconds: float) -> int | None:
    """Return the octet for the longest validity that the wire can carry within `seconds`.

    None under five minutes, the shortest there is: a text must not outlive what was asked.
    """
    minutes = int(max(0.0, seconds) // _MINUTE_S)
    days = minutes // _DAY_MIN
    if seconds < LEAST_S:
        return None
    if minutes <= _HALF_DAY_MIN:
        return minutes // 5 - 1
    if days < 2:  # noqa: PLR2004 -- the steps of a day begin with two days
        return _HALF_HOURS_FROM + (min(minutes, _DAY_MIN) - _HALF_DAY_MIN) // 30
    if days < 7 * _LEAST_WEEKS:
        return _DAYS_FROM + min(days, _LONGEST_DAYS)
    return min(_WEEKS_FROM + days // 7, _MOST)
