"""From what a text says of a plot to the report that is taken."""

from datetime import date

from service.confirmations.crop_news import (
    confirm_burnt,
    confirm_harvest,
    confirm_rain,
    confirm_sown,
    confirm_up,
)
from service.confirmations.doses import confirm_done, confirm_not_done
from service.confirmations.outcomes import Desk, Outcome
from service.inbound.reply_codes import Item, Meaning


def report_on_plot(  # noqa: PLR0911 -- one return a meaning
    desk: Desk, planting_id: int, meaning: Meaning, item: Item, *, on: date
) -> Outcome:
    """Take one item of a text as the report that it is.

    Raises:
        ValueError: the meaning is not about a plot.
    """
    match meaning:
        case Meaning.DONE | Meaning.AGAIN:
            return confirm_done(desk, planting_id, item.dose or 0, on=on)
        case Meaning.NOT_DONE:
            return confirm_not_done(desk, planting_id, item.dose or 0)
        case Meaning.SOWN:
            return confirm_sown(desk, planting_id, on=on)
        case Meaning.UP:
            return confirm_up(desk, planting_id, on=on)
        case Meaning.HARVEST:
            return confirm_harvest(desk, planting_id, on=on)
        case Meaning.RAIN:
            return confirm_rain(desk, planting_id)
        case Meaning.BURN:
            return confirm_burnt(desk, planting_id)
        case _:
            raise ValueError(f"{meaning} is not about a plot")
