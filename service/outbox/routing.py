"""By which route a text goes. Pure.

Of the routes that serve a number and are open, the one with the longest matching prefix; of those
the cheapest. Where none is open the text waits at the one that would be taken.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A route as far as the choice goes; without prefixes it serves every number."""

    route_id: int
    prefixes: tuple[str, ...]
    cost: float
    is_open: bool


def choose_route(number: str, ways: Iterable[Way]) -> int:
    """Return the id of the route for a number.

    A number that no route serves by its prefixes goes by any, as if there were none: a new prefix
    of an operator must not leave growers without texts.

    Raises:
        ValueError: there is no route.
    """
    known = list(ways)
    if not known:
        raise ValueError("an association without a route cannot send")
    serving = [way for way in known if _matched(number, way) is not None] or known
    return min(
        serving,
        key=lambda way: (not way.is_open, -(_matched(number, way) or 0), way.cost, way.route_id),
    ).route_id


def _matched(number: str, way: Way) -> int | None:
    if not way.prefixes:
        return 0
    return max((len(prefix) for prefix in way.prefixes if number.startswith(prefix)), default=None)
