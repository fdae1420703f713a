"""A reading in one short line, as it travels in a form and stands beside the text once read. Pure.

`done A3-1 D2-1` is two doses done a day before the text came, `sealed 3-0` a can sealed that day.
"""

import re

from service.inbound.reply_codes import Item, Meaning, Reading

_CHOICE = re.compile(r"(?P<meaning>[a-z-]+)(?P<items>( [A-Z]?[0-9]{0,3}-[0-9]{1,2})*)")
_ITEM = re.compile(r"(?P<plot>[A-Z]?)(?P<number>[0-9]{0,3})-(?P<days>[0-9]{1,2})")


def choice_of(reading: Reading) -> str:
    """Return a reading as a short word and codes, such as `done A3-1 D2-1`."""
    items = (
        f"{item.plot or ''}{item.dose or item.can or ''}-{item.days_ago}" for item in reading.items
    )
    return " ".join((reading.meaning.value, *items))


def reading_of(choice: str) -> Reading | None:
    """Return the reading that was written so, or None where it is none."""
    found = _CHOICE.fullmatch(choice)
    if found is None or found["meaning"] not in set(Meaning):
        return None
    return Reading(
        meaning=Meaning(found["meaning"]), items=tuple(map(_item, _ITEM.finditer(found["items"])))
    )


def _item(found: re.Match[str]) -> Item:
    plot, number = found["plot"] or None, int(found["number"]) if found["number"] else None
    return Item(
        plot=plot,
        dose=number if plot else None,
        can=None if plot else number,
        days_ago=int(found["days"]),
    )
