"""Many things a few at a time: a database takes only so many values in one statement."""

from collections.abc import Iterable, Iterator
from itertools import islice
from typing import TypeVar

VALUES_A_QUERY = 500
_Item = TypeVar("_Item")


def in_parts(items: Iterable[_Item], size: int = VALUES_A_QUERY) -> Iterator[list[_Item]]:
    """Give the items in lists of at most `size`, in their order."""
    rest = iter(items)
    while part := list(islice(rest, size)):
        yield part
