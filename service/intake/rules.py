"""What an import may hold, as the settings have it."""

from dataclasses import dataclass
from datetime import date

from service.messages.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """What the cells are held against.

    `test_numbers` are E.164, `allowed_countries` ISO 3166 two-letter codes, `languages` those that
    have texts, `words` their word lists, `today` the day (UTC) after which nothing has happened.
    """

    test_numbers: frozenset[str]
    allowed_countries: tuple[str, ...]
    languages: tuple[str, ...]
    words: tuple[Words, ...]
    today: date
