"""On which day something happened: today, yesterday, or another day that is typed."""

from datetime import date
from enum import StrEnum

from service.agronomy.calendar import add_days, days_between
from service.web.form import Form
from service.web.sentence import sentence


class When(StrEnum):
    """On which day it happened."""

    TODAY = "today"
    YESTERDAY = "yesterday"
    OTHER = "other"


def told_day(form: Form, today: date, *, most_days_back: int) -> date | None:
    """Return the day that the fields `when` and `day` tell, or None after noting what is wrong."""
    match form.choice("when", When):
        case When.TODAY:
            return today
        case When.YESTERDAY:
            return add_days(today, -1)
        case When.OTHER:
            on = form.day("day")
            if on is not None and not 0 <= days_between(on, today) <= most_days_back:
                form.refuse(
                    "day",
                    sentence(
                        "Write a day up to today, at most %(days)s days back.",
                        days=most_days_back,
                    ),
                )
                return None
            return on
        case None:
            return None


def day_field(form: Form) -> str:
    """Return the field that a fault of the day belongs to."""
    return "day" if form.value("when") == When.OTHER else "when"
