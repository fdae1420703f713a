"""A page's HTML as a tree, read the way a browser would for the tidy HTML that pages write."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

from typing_extensions import override

VOID = frozenset({"br", "col", "hr", "img", "input", "link", "meta"})
INLINE = frozenset({"a", "abbr", "b", "bdi", "em", "i", "small", "span", "strong", "time"})
UNSEEN = frozenset({"head", "script", "style", "template"})


@dataclass(kw_only=True)
class Element:
    """An element with its attributes and, in their order, its texts and elements."""

    tag: str
    attributes: dict[str, str] = field(default_factory=dict)
    inside: list["Element | str"] = field(default_factory=list)

    def get(self, name: str) -> str:
        """Return an attribute, blank where it is missing or has no value."""
        return self.attributes.get(name, "")

    def has(self, name: str) -> bool:
        """Say whether the attribute stands there, with a value or without."""
        return name in self.attributes

    def every(self, *tags: str) -> Iterator["Element"]:
        """Yield the elements of these tags below this one, in source order; all without tags."""
        for part in self.inside:
            if isinstance(part, Element):
                if not tags or part.tag in tags:
                    yield part
                yield from part.every(*tags)

    @property
    def text(self) -> str:
        """The text that is seen, each run of blanks as one."""
        return " ".join("".join(self.pieces()).split())

    def pieces(self) -> Iterator[str]:
        """Yield the text that is seen, as it stands in the source."""
        for part in self.inside:
            if isinstance(part, str):
                yield part
            elif part.tag not in UNSEEN:
                # words of neighbouring blocks must not run together; those in one line must
                edge = "" if part.tag in INLINE else " "
                yield edge
                yield from part.pieces()
                yield edge


def parse(html: str) -> Element:
    """Return the tree of a page.

    Raises:
        ValueError: an element is closed that is not open, or stays open: the page is broken.
    """
    reader = _Reader()
    reader.feed(html)
    reader.close()
    if len(reader.open) > 1:
        raise ValueError(f"<{reader.open[-1].tag}> stays open")
    return reader.open[0]


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.open = [Element(tag="page")]

    @override
    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = [name for name, _ in attrs]
        if len(set(names)) < len(names):
            raise ValueError(f"<{tag}> has an attribute twice")
        made = Element(tag=tag, attributes={name: value or "" for name, value in attrs})
        self.open[-1].inside.append(made)
        if tag not in VOID:
            self.open.append(made)

    @override
    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    @override
    def handle_endtag(self, tag: str) -> None:
        if self.open[-1].tag != tag:
            raise ValueError(f"</{tag}> closes <{self.open[-1].tag}>")
        self.open.pop()

    @override
    def handle_data(self, data: str) -> None:
        self.open[-1].inside.append(data)
