"""The sentences of the pages, as they stand in the templates and in the code."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from babel.messages.extract import extract

from service.agronomy.cautions import cautions

WEB = Path(__file__).parents[2] / "service" / "web"
KEYWORDS = {"_": None, "gettext": None, "ngettext": (1, 2)}
MARK = re.compile(r"%(?:\((?P<name>\w+)\)(?P<kind>.)|(?P<sign>.)|$)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A sentence to be translated, with its plural if it counts."""

    one: str
    many: str | None = None


def template_texts(folder: Path) -> Iterator[Text]:
    """Yield the sentences of the templates in a folder and below."""
    for path in sorted(folder.rglob("*.*")):
        with path.open("rb") as file:
            for _, found, _, _ in extract("jinja2.ext:babel_extract", file, keywords=KEYWORDS):
                if isinstance(found, str):
                    yield Text(one=found)
                else:
                    yield Text(one=found[0], many=found[1])


def code_texts(source: str) -> Iterator[Text]:
    """Yield the sentences that code makes with `sentence("…")`.

    Raises:
        ValueError: a sentence is not written out where it is made, so nobody can find it.
    """
    for call in ast.walk(ast.parse(source)):
        if not isinstance(call, ast.Call) or ast.unparse(call.func).split(".")[-1] != "sentence":
            continue
        match call.args:
            case [ast.Constant(value=str(words))]:
                yield Text(one=words)
            case _:
                raise ValueError(f"line {call.lineno}: write the sentence out where it is made")


def shown_texts(folder: Path = WEB) -> set[Text]:
    """Return every sentence of the pages, the cautions of the trade's table among them."""
    texts = set(template_texts(folder / "templates")) | table_texts()
    for path in sorted(folder.rglob("*.py")):
        texts |= set(code_texts(path.read_text(encoding="utf-8")))
    return texts


def table_texts() -> set[Text]:
    """Return the sentences of the agronomy's tables that a page shows as they stand."""
    return {Text(one=caution.text) for caution in cautions()}


def marks(text: str) -> set[str]:
    """Return the marks of a sentence that values stand for.

    Raises:
        ValueError: a percent sign is neither doubled nor part of a mark.
    """
    found = set()
    for match in MARK.finditer(text):
        if match["name"] and match["kind"] in "sd":
            found.add(f"%({match['name']}){match['kind']}")
        elif match["sign"] != "%":
            raise ValueError(f"write %% for a percent sign: {text}")
    return found
