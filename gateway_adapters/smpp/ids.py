"""Which text a receipt's id belongs to.

A centre may write an id one way in its answer and another way in the receipt: other case, leading
zeros, quotes, hexadecimal here and decimal there. A receipt is matched by what is left after
these are gone *and* by the destination; where two texts fit, none is matched.
"""

import re
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

_HEX = re.compile(r"[0-9a-f]{1,32}")
_DECIMAL = re.compile(r"[0-9]{1,39}")
_REMEMBERED = 50_000  # answered texts; about 30 MB at most


class IdForm(StrEnum):
    """How a receipt's id is to the answer's: the answer's form is named first."""

    AUTO = "auto"
    SAME = "same"
    HEX_DEC = "hex-dec"
    DEC_HEX = "dec-hex"


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """A text, or a part of one, that the gateway took under an id."""

    gateway_id: str
    to: str
    destination: str
    sender: str


class TwoFitError(Exception):
    """Two texts fit one receipt's id."""


class SentIds:
    """The ids of what the gateway took lately, the oldest forgotten first."""

    def __init__(self, form: IdForm) -> None:
        self._form = form
        self._kept: OrderedDict[tuple[str, str], Sent] = OrderedDict()
        self._index: dict[tuple[IdForm, str, str], list[Sent]] = {}

    @property
    def form(self) -> IdForm:
        """The form that is set, or that was learnt; `auto` while nothing was."""
        return self._form

    def add(self, sent: Sent) -> None:
        """Remember a text that was taken."""
        place = (sent.gateway_id, sent.destination)
        if not sent.gateway_id or place in self._kept:
            return
        self._kept[place] = sent
        for form, key in _keys(sent.gateway_id):
            self._index.setdefault((form, sent.destination, key), []).append(sent)
        if len(self._kept) > _REMEMBERED:
            self._forget(self._kept.popitem(last=False)[1])

    def exact(self, gateway_id: str, destination: str) -> Sent | None:
        """Return what was taken under exactly this id."""
        return self._kept.get((gateway_id, destination))

    def find(self, told: str, destination: str) -> Sent | None:
        """Return the text that a receipt's id belongs to, and learn from a plain case.

        Raises:
            TwoFitError: Two texts fit.
        """
        key = normal(told)
        forms = (IdForm.SAME, IdForm.HEX_DEC, IdForm.DEC_HEX)
        fitting = {
            form: found
            for form in (forms if self._form is IdForm.AUTO else (self._form,))
            if (found := self._index.get((form, destination, key)))
        }
        texts = {sent for found in fitting.values() for sent in found}
        if len(texts) > 1:
            raise TwoFitError
        if self._form is IdForm.AUTO and len(fitting) == 1:
            (self._form,) = fitting
        return texts.pop() if texts else None

    def _forget(self, sent: Sent) -> None:
        for form, key in _keys(sent.gateway_id):
            place = (form, sent.destination, key)
            left = [other for other in self._index[place] if other is not sent]
            if left:
                self._index[place] = left
            else:
                del self._index[place]


def normal(message_id: str) -> str:
    """Return an id without NULs, blanks, quotes, leading zeros and capitals."""
    bare = message_id.strip("\0 \t\r\n\"'").lower()
    return bare.lstrip("0") or bare[:1]


def as_answered(told: str, form: IdForm) -> str:
    """Return how the answer would have written an id that is not remembered, as far as one knows.

    Letters of a hexadecimal id are taken for capitals: an answer's own case is known only from
    the answer.
    """
    key = normal(told)
    if form is IdForm.HEX_DEC and _DECIMAL.fullmatch(key):
        return f"{int(key):X}"
    if form is IdForm.DEC_HEX and _HEX.fullmatch(key):
        return str(int(key, 16))
    return told


def _keys(gateway_id: str) -> Iterator[tuple[IdForm, str]]:
    """Yield how a receipt would name this id, in each form in which it can."""
    key = normal(gateway_id)
    yield IdForm.SAME, key
    if _HEX.fullmatch(key):
        yield IdForm.HEX_DEC, str(int(key, 16))
    if _DECIMAL.fullmatch(key):
        yield IdForm.DEC_HEX, f"{int(key):x}"
