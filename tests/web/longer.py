"""A pretended language whose every word is two fifths longer than the English one."""

import re
from math import ceil

from babel import Locale
from typing_extensions import override

from service.web.tongue import SOURCE, Plural, Tongue

LONG = "longer"
_KEPT = re.compile(r"(%\([a-z_0-9]+\)[sd]|%%|\s+)")


def longer(text: str) -> str:
    """Return a sentence with longer words and the same marks."""
    return "".join(
        part if not part or _KEPT.fullmatch(part) else part + part[-1] * ceil(0.4 * len(part))
        for part in _KEPT.split(text)
    )


class LongerSingles(dict[str, str]):
    """Sentences made longer as they are asked for."""

    @override
    def get(self, key: str, default: object = None) -> str:
        return longer(key)


class LongerPlurals(dict[Plural, tuple[str, ...]]):
    """Sentences with a count, made longer as they are asked for."""

    @override
    def get(self, key: Plural, default: object = None) -> tuple[str, ...]:
        return tuple(map(longer, key))


LONGER = Tongue(code=SOURCE, locale=Locale("en"), singles=LongerSingles(), plurals=LongerPlurals())
