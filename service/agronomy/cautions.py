"""The cautions that go with a plan, from `cautions.toml`, in the order of that table."""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from service.agronomy.tables import Group, Origin, TableError, read_tables, table_text

_KEYS = frozenset({"text", "when"})


class Occasion(StrEnum):
    """For whom a caution is said."""

    ALWAYS = "always"
    SOLD = "sold"
    OWN_HOUSEHOLD = "own-household"
    EATEN_RAW = "eaten-raw"
    POOR_SOIL = "poor-soil"
    COLD_STORE = "cold-store"
    ASSUMED_EMERGENCE = "assumed-emergence"
    TINY_SEED = "tiny-seed"
    LEGUME = "legume"
    BEFORE_STARTING = "before-starting"


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """One plain sentence or two, and where it comes from."""

    id: str
    text: str
    when: Occasion
    origin: Origin


def caution_texts(occasions: Collection[Occasion]) -> tuple[str, ...]:
    """Return what must be said always and on these occasions."""
    wanted = {Occasion.ALWAYS, *occasions}
    return tuple(caution.text for caution in cautions() if caution.when in wanted)


@cache
def cautions() -> tuple[Caution, ...]:
    """Return every caution."""
    return load_cautions(table_text("cautions.toml"))


def load_cautions(text: str) -> tuple[Caution, ...]:
    """Return the cautions of a table's text.

    Raises:
        TableError: a key is missing, unknown or of the wrong kind.
    """
    return tuple(_caution(name, raw) for name, raw in read_tables("cautions.toml", text).items())


def _caution(name: str, raw: object) -> Caution:
    group = Group(f"cautions.toml, {name}", raw, _KEYS)
    try:
        when = Occasion(group.word("when"))
    except ValueError as error:
        known = ", ".join(sorted(Occasion))
        raise TableError(f"cautions.toml, {name}: when must be one of {known}.") from error
    return Caution(id=name, text=group.word("text"), when=when, origin=group.origin)
