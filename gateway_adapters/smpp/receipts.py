"""Reads delivery receipts, by their parameters and by their text. Pure.

The text's layout is only a custom (SMPP 3.4, appendix B: vendor specific): keys in any order and
case, some missing, a blank after the colon, and `text:` may hold anything.
"""

import re
from datetime import datetime
from itertools import zip_longest
from typing import NamedTuple

from gateway_adapters.events import ReceiptState
from gateway_adapters.smpp.codec import LONGEST_ID, Delivery
from gateway_adapters.smpp.codes import state_of_number, state_of_word

_MESSAGE_TYPE = 0x3C  # the bits of esm_class that tell it (SMPP 3.4, 5.2.12)
_RECEIPT = 0x04
_INTERIM = 0x20
_KEYS = ("id", "sub", "dlvrd", "submit date", "done date", "stat", "err")
_KEY = re.compile(rf"(?<![^\s,;])({'|'.join(_KEYS)}|text)\s*:")
_DATE = re.compile(r"[0-9]{10}(?:[0-9]{2})?")


class News(NamedTuple):
    """What a receipt says: an id as it stands, a state, and perhaps the rest.

    `done_at` is the centre's clock read as UTC, since no zone is told; `text` is the beginning of
    the text it is about, empty if not told.
    """

    message_id: str
    state: ReceiptState
    code: str = ""
    done_at: datetime | None = None
    text: str = ""


def is_receipt(delivery: Delivery, *, untyped: bool) -> bool:
    """Return whether a deliver_sm is a receipt.

    With `untyped` one is also known by its text alone, which a grower could type as well.
    """
    kind = delivery.esm_class & _MESSAGE_TYPE
    if kind in (_RECEIPT, _INTERIM):
        return True
    if kind != 0:
        return False
    if delivery.receipted_id:
        return True
    return untyped and {"id", "stat"} <= _fields(delivery.text).keys()


def read_receipt(delivery: Delivery) -> News | None:
    """Return what a receipt says, parameters before text; None if it names no id."""
    fields = _fields(delivery.text)
    message_id = _clean(delivery.receipted_id or "") or _clean(fields.get("id", ""))
    if not message_id or len(message_id) > LONGEST_ID:
        return None
    return News(
        message_id=message_id,
        state=_state(delivery, fields),
        code=fields.get("err", "").strip()[:16],
        done_at=_date(fields.get("done date", "")),
        text=fields.get("text", ""),
    )


def _state(delivery: Delivery, fields: dict[str, str]) -> ReceiptState:
    if delivery.esm_class & _MESSAGE_TYPE == _INTERIM:
        return ReceiptState.SUBMITTED
    if delivery.message_state is not None:
        return state_of_number(delivery.message_state)
    return state_of_word(fields.get("stat", ""))


def _fields(octets: bytes) -> dict[str, str]:
    """Return the fields by their keys in lower case; the first of each key counts."""
    text = octets.decode("latin-1")
    found = list(_KEY.finditer(text.lower()))  # of Latin-1, lower case is as long
    fields: dict[str, str] = {}
    for key, following in zip_longest(found, found[1:]):
        name = key[1]
        if name == "text":
            fields[name] = text[key.end() :]
            break  # what follows is the text, whatever it looks like
        value = text[key.end() : len(text) if following is None else following.start()]
        fields.setdefault(name, value.strip(" \t\r\n,;"))
    return fields


def _clean(message_id: str) -> str:
    return message_id.strip("\0 \t\r\n\"'")


def _date(digits: str) -> datetime | None:
    if not _DATE.fullmatch(digits):
        return None
    year, month, day, hour, minute, second = (
        digits.ljust(12, "0")[at : at + 2] for at in range(0, 12, 2)
    )
    try:
        return datetime.fromisoformat(f"20{year}-{month}-{day}T{hour}:{minute}:{second}+00:00")
    except ValueError:
        return None
