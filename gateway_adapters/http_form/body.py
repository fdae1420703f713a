"""What is sent: templates filled field by field and encoded as a whole. Pure.

A value is put into one field of a structure, and only then is the structure encoded; so no text
can break out of its field.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC
from math import isfinite
from string import Template
from urllib.parse import urlencode

from gateway_adapters.contract import Outgoing

FIELDS = frozenset({"to", "from", "text", "token", "valid_until"})

Values = Mapping[str, str | int | float | bool]


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """A template: a table of texts for a form, any JSON value for JSON.

    `key` is where the list of messages stands in a JSON object; with None it is the document.
    """

    form: bool
    template: object
    key: str | None = None

    @property
    def content_type(self) -> str:
        """What the request says of its body."""
        return "application/x-www-form-urlencoded" if self.form else "application/json"

    def one(self, values: Values) -> bytes:
        """Return the octets for one message."""
        filled = fill(self.template, values)
        return encode_form(filled) if self.form else encode_json(filled)

    def several(self, each: Iterable[Values]) -> bytes:
        """Return the octets of a JSON list of messages, in order."""
        filled = [fill(self.template, values) for values in each]
        return encode_json(filled if self.key is None else {self.key: filled})


def template_faults(template: object, *, fields: frozenset[str], form: bool) -> list[str]:
    """Return what is wrong with a template, as ends of sentences."""
    faults = []
    if form and not (
        isinstance(template, Mapping) and all(isinstance(leaf, str) for leaf in template.values())
    ):
        faults.append("must be a table of texts, for it is sent as a form")
    if not _is_json(template):
        faults.append("holds a value that JSON lacks, such as a date")
    for leaf in leaves(template):
        if not leaf.is_valid():
            faults.append("has a $ that begins no field; write $$ for the sign itself")
        elif unknown := sorted(set(leaf.get_identifiers()) - fields):
            faults.append(f"has unknown fields: {', '.join(unknown)}")
    return faults


def _is_json(template: object) -> bool:
    match template:
        case Mapping():
            return all(_is_json(value) for value in template.values())
        case list() | tuple():
            return all(_is_json(value) for value in template)
        case float():
            return isfinite(template)
        case _:
            return template is None or isinstance(template, str | int)


def used_fields(template: object) -> set[str]:
    """Return the fields that a template without faults uses."""
    return {name for leaf in leaves(template) for name in leaf.get_identifiers()}


def leaves(template: object) -> list[Template]:
    """Return each text of a template."""
    match template:
        case str():
            return [Template(template)]
        case Mapping():
            return [leaf for value in template.values() for leaf in leaves(value)]
        case list() | tuple():
            return [leaf for value in template for leaf in leaves(value)]
        case _:
            return []


def fill(template: object, values: Values) -> object:
    """Return the structure with its fields filled; a field that stands alone keeps its kind."""
    match template:
        case str():
            alone = template.removeprefix("$")
            if template == f"${alone}" and alone in values:
                return values[alone]
            return Template(template).substitute(values)
        case Mapping():
            return {str(key): fill(value, values) for key, value in template.items()}
        case list() | tuple():
            return [fill(value, values) for value in template]
        case _:
            return template


def encode_form(filled: object) -> bytes:
    """Return a table as a form."""
    pairs = filled.items() if isinstance(filled, Mapping) else ()
    return urlencode([(str(key), str(value)) for key, value in pairs]).encode("ascii")


def encode_json(filled: object) -> bytes:
    """Return any structure as JSON in ASCII."""
    return json.dumps(filled, allow_nan=False).encode("ascii")


def message_values(
    message: Outgoing, *, to: str, validity: str, left_s: float
) -> dict[str, str | int]:
    """Return a message's values.

    `validity` says how its end is given: `instant` (ISO 8601, UTC), `unix` (seconds),
    `seconds-left` or `minutes-left`; the last three are whole numbers, always rounded down.
    """
    end = message.valid_until.astimezone(UTC).replace(microsecond=0)
    ends: dict[str, str | int] = {
        "instant": end.strftime("%Y-%m-%dT%H:%M:%SZ"),
        "unix": int(end.timestamp()),
        "seconds-left": int(left_s),
        "minutes-left": int(left_s // 60),
    }
    return {
        "to": to,
        "from": message.sender,
        "text": message.text,
        "token": message.token,
        "valid_until": ends[validity],
    }
