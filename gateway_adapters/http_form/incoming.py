"""Receipts and texts out of a webhook's documents. Pure.

An event's id is the gateway's own, or a hash of the body and the event's place in it; so the same
request a second time brings the same ids.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from gateway_adapters.events import Event, Inbound, LateAnswer, Part, Receipt, ReceiptState
from gateway_adapters.http_form import pointer
from gateway_adapters.http_form.documents import Place, field_text, instant, message_text, phone

_SMALL = re.compile(r"[0-9]{1,5}")
_MOST_PARTS = 255  # 3GPP TS 23.040, 9.2.3.24.1: one octet
_TOKEN = re.compile(r"[!-~]{1,200}")


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptRules:
    """Where receipts are and what they say. The keys of `states` are in small letters."""

    place: Place
    event_id: pointer.Path | None
    gateway_id: pointer.Path
    to: pointer.Path | None
    state: pointer.Path
    code: pointer.Path | None
    at: pointer.Path | None
    token: pointer.Path | None
    states: Mapping[str, ReceiptState]


@dataclass(frozen=True, slots=True, kw_only=True)
class TextRules:
    """Where texts from phones are and what they say."""

    place: Place
    event_id: pointer.Path | None
    sender: pointer.Path
    to: pointer.Path | None
    text: pointer.Path
    part: tuple[pointer.Path, pointer.Path, pointer.Path] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Knock:
    """What the request as a whole gives to each event in it."""

    body_hash: str
    now: datetime
    digits_only: bool

    def event_id(self, kind: str, item: object, path: pointer.Path | None, number: int) -> str:
        """Return the gateway's own id of an event, or one made from the body."""
        own = None if path is None else pointer.id_text(pointer.look_up(item, path))
        return f"{kind}:{self.body_hash}:{number}" if own is None else f"{kind}={own}"


def receipt_events(item: object, rules: ReceiptRules, knock: Knock, *, number: int) -> list[Event]:
    """Return a receipt, or nothing if it names no id.

    Where it names our own token too, a late answer goes before it: the text may be one whose
    answer was lost, and only the token finds it.
    """
    gateway_id = pointer.id_text(pointer.look_up(item, rules.gateway_id))
    if gateway_id is None:
        return []
    said = field_text(item, rules.state).casefold()
    receipt = Receipt(
        event_id=knock.event_id("receipt", item, rules.event_id, number),
        gateway_id=gateway_id,
        to=_number(item, rules.to, knock),
        state=rules.states.get(said, ReceiptState.UNKNOWN),
        at=instant(field_text(item, rules.at), otherwise=knock.now),
        code=field_text(item, rules.code),
    )
    token = field_text(item, rules.token)
    if _TOKEN.fullmatch(token) is None:
        return [receipt]
    answer = LateAnswer(
        event_id=f"late:{token}:{gateway_id}", token=token, gateway_ids=(gateway_id,)
    )
    return [answer, receipt]


def text_events(item: object, rules: TextRules, knock: Knock, *, number: int) -> list[Event]:
    """Return a text from a phone, or nothing if it names no sender or holds no text."""
    sender = _number(item, rules.sender, knock)
    read = message_text(item, rules.text)
    if not sender or read is None:
        return []
    text, lossy = read
    return [
        Inbound(
            event_id=knock.event_id("text", item, rules.event_id, number),
            sender=sender,
            to=_number(item, rules.to, knock),
            text=text,
            received_at=knock.now,
            lossy=lossy,
            part=None if rules.part is None else _part(item, rules.part),
        )
    ]


def _number(item: object, path: pointer.Path | None, knock: Knock) -> str:
    found = None if path is None else pointer.scalar_text(pointer.look_up(item, path))
    lost_plus = " " if found is not None and found.startswith(" ") else ""
    return phone(lost_plus + field_text(item, path), digits_only=knock.digits_only)


def _part(item: object, paths: tuple[pointer.Path, pointer.Path, pointer.Path]) -> Part | None:
    reference, number, total = (_small(item, path) for path in paths)
    if reference is None or number is None or total is None:
        return None
    if not 1 <= number <= total <= _MOST_PARTS or total == 1:
        return None
    return Part(reference=reference, number=number, total=total)


def _small(item: object, path: pointer.Path) -> int | None:
    text = field_text(item, path)
    return int(text) if _SMALL.fullmatch(text) else None
