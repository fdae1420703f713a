"""From the fields of the forms about areas to what was entered."""

import re
from collections.abc import Mapping

from service.agronomy.calendar import add_days
from service.agronomy.dosing import Season
from service.enrolment.faults import Faults
from service.enrolment.locality_entries import HoldEntry, SpanEntry
from service.records.limits import LIMITS
from service.web.fault_words import fault_words
from service.web.form import YES, Form
from service.web.here import here
from service.web.sentence import sentence

BY_HAND = "by_hand"
BY_HAND_DAYS = 365  # project choice: a season told by hand stands until the next, a year at most
HOLD_FIELDS = {"first_on": "hold_first", "last_on": "hold_last"}
SEASON_FIELDS = {"first_on": "season_first", "last_on": "season_last"}
_CELSIUS = re.compile("[-\u2212]?[0-9]{1,3}([.,][0-9]{1,3})?")


def hold_of(form: Form, area_id: int | None) -> HoldEntry | None:
    """Return the days without doses, or None where one cannot be read."""
    first_on, last_on = form.day("hold_first"), form.day("hold_last")
    if first_on is None or last_on is None:
        return None
    return HoldEntry(area_id=area_id, first_on=first_on, last_on=last_on)


def span_of(form: Form, area_id: int) -> SpanEntry | None:
    """Return the season, by its days or by hand from today, or None where it cannot be read."""
    season, today = form.choice("season", Season), here().today
    by_hand = form.value(BY_HAND) == YES
    first_on = today if by_hand else form.day("season_first")
    last_on = add_days(today, BY_HAND_DAYS) if by_hand else form.day("season_last")
    if season is None or first_on is None or last_on is None:
        return None
    return SpanEntry(area_id=area_id, season=season, first_on=first_on, last_on=last_on)


def celsius_of(form: Form) -> float | None:
    """Return the temperature, None where it is blank or, with a fault, cannot be read."""
    typed = form.value("store_c")
    if not typed:
        return None
    limits = LIMITS.numbers["store_c"]
    plain = typed.replace("\u2212", "-").replace(",", ".")
    found = float(plain) if _CELSIUS.fullmatch(typed) else None
    if found is None or not limits.at_least <= found <= limits.at_most:
        form.refuse(
            "store_c",
            sentence(
                "Write a number from %(least)s to %(most)s.",
                least=limits.at_least,
                most=limits.at_most,
            ),
        )
        return None
    return found


def note_faults(form: Form, faults: Faults, fields: Mapping[str, str]) -> None:
    """Note each fault beside the field of the form that it belongs to."""
    for fault in faults.faults:
        form.refuse(fields.get(fault.field, fault.field), fault_words(fault))
