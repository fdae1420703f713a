"""A sentence for a person, before it is put into the page's language."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Sentence:
    """An English sentence as the catalogue knows it, with values for its %(name)s marks."""

    text: str
    values: Mapping[str, object] = field(default_factory=dict)


def sentence(text: str, **values: object) -> Sentence:
    """Return a sentence; its English text is what translators find."""
    return Sentence(text=text, values=values)
