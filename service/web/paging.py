"""Long lists in pages of 25 rows."""

from dataclasses import dataclass

from flask import request

SIZE = 25
MOST_PAGES = 9_999


@dataclass(frozen=True, slots=True, kw_only=True)
class Pages:
    """Which page of a list this is, and which stand before and after it."""

    number: int
    last: int
    count: int

    @property
    def before(self) -> int | None:
        """Return the number of the page before."""
        return self.number - 1 if self.number > 1 else None

    @property
    def after(self) -> int | None:
        """Return the number of the next page."""
        return self.number + 1 if self.number < self.last else None


def asked_page() -> int:
    """Return the page that the address asks for; the first where it names none."""
    typed = request.args.get("page", "1")
    if not (typed.isascii() and typed.isdigit()):
        return 1
    return min(max(int(typed[:5]), 1), MOST_PAGES)


def pages_of(count: int, number: int, *, size: int = SIZE) -> Pages:
    """Return where page `number` stands in a list of `count` rows."""
    return Pages(number=number, last=max(1, -(-count // size)), count=count)
