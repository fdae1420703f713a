"""What an entry is held against, as the settings and the texts have it."""

from dataclasses import dataclass

from service.messages.catalogue import Catalogue


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """`allowed_countries` are ISO 3166 two-letter codes, `test_numbers` E.164."""

    catalogue: Catalogue
    allowed_countries: tuple[str, ...]
    test_numbers: frozenset[str]
