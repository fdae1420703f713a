"""Fill the text of a kind in one language, with values as the queue keeps them."""

from collections.abc import Mapping
from dataclasses import dataclass

from service.messages.kinds import DAYS, TEXT_FIELDS, Kind
from service.messages.language import Language
from service.messages.printing import PRINTERS, ValueRefusedError, can_numbers, whole, words
from service.messages.small_texts import carried_by

Values = Mapping[str, object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """How a household wants to be written to.

    `shared`: several households use the phone, so neither crop nor substance is named. `what` is
    the household's own word; without one the language's plain or, if `discreet`, its neutral word
    stands.
    """

    shared: bool = False
    discreet: bool = False
    what: str | None = None

    @property
    def plain(self) -> bool:
        """Whether a text may say outright what is collected."""
        return not self.shared and not self.discreet and self.what is None


PLAIN = Wording()


def text_id(kind: Kind, values: Values, *, wording: Wording) -> str:
    """Return the name of the text that these values need."""
    name = kind.name
    if any(values.get(field) is None for field in kind.optional & DAYS):
        name += ".none"
    if kind.neutral_variant and not wording.plain:
        name += ".neutral"
    if wording.shared and kind.shared_variant:
        return name + ".shared"
    names_can = "can" in kind.optional and values.get("can") is not None
    return name + ".can" if names_can and "tip" not in kind.fields else name


def can_say(language: Language, name: str, *, crops: frozenset[str]) -> bool:
    """Return whether the language has this text and every small text that it prints with."""
    fields = TEXT_FIELDS[name]
    needed = {name} | carried_by(fields)
    if fields & {"crop", "plots"}:
        needed |= crops
    return needed <= language.texts.keys()


def fill(language: Language, kind: Kind, values: Values, *, wording: Wording) -> str:
    """Return the finished text, folded to the alphabet of its language.

    Raises:
        ValueRefusedError: a value is missing or of the wrong shape; the field is named.
        KeyError: the language lacks the text.

    """
    name = text_id(kind, values, wording=wording)
    fields = {field: _print(language, kind, field, values, wording) for field in TEXT_FIELDS[name]}
    return language.filled(name, fields)


def _print(language: Language, kind: Kind, field: str, values: Values, wording: Wording) -> str:
    if field == "what":
        if wording.what is not None:
            return words(language, wording.what)
        return language.filled("what.discreet" if wording.discreet else "what.plain", {})
    if field not in values and field not in kind.optional:
        raise ValueRefusedError(f"{kind.name} needs a value for {field}")
    value = values.get(field)
    if field == "plots" and wording.shared:
        value = _letters_only(value)
    try:
        if field == "tip":
            return _tip(language, kind, value, can=None if wording.shared else values.get("can"))
        return PRINTERS[field](language, value)
    except (ValueError, KeyError) as fault:
        raise ValueRefusedError(f"{kind.name}, field {field}: {fault}") from fault


def _tip(language: Language, kind: Kind, value: object, *, can: object) -> str:
    """Return the tip of a dose digit, or in its place the can to use when several are in use."""
    number = whole(language, value)
    if can is not None:
        return language.filled("tip.can", {"n": can_numbers(language, can)})
    special = f"tip.{kind.name}.{number}"
    return language.filled(special if special in language.texts else f"tip.{number}", {})


def _letters_only(value: object) -> object:
    if not isinstance(value, list):
        return value
    return [{**row, "crop": None} if isinstance(row, Mapping) else row for row in value]
