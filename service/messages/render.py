"""Turn a queued message's kind and values into the text that is sent."""

from dataclasses import dataclass

from gateway_adapters.segments import split
from service.messages.catalogue import Catalogue
from service.messages.filling import PLAIN, Values, Wording, fill, text_id
from service.messages.kinds import KINDS
from service.messages.worst import MAX_JOBS


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """Whom a text is for: languages by code, and how the household wants it worded."""

    language: str
    fallback: str
    wording: Wording = PLAIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Rendered:
    """A finished text and the language that it is in."""

    text: str
    language: str


def render(catalogue: Catalogue, kind: str, values: Values, *, reader: Reader) -> Rendered:
    """Return the text of a kind, in the reader's language or, as a whole, in the fallback.

    Values are JSON-friendly: ISO days, litres as numbers, crops by id, tips by dose digit.

    Raises:
        ValueRefusedError: a value is missing or of the wrong shape; the field is named.
        KeyError: there is no such kind.

    """
    row = KINDS[kind]
    language = catalogue.language_for(
        text_id(row, values, wording=reader.wording),
        language=reader.language,
        fallback=reader.fallback,
    )
    text = fill(language, row, values, wording=reader.wording)
    return Rendered(text=text, language=language.code)


def digest_fits(
    catalogue: Catalogue, values: Values, *, reader: Reader, kind: str = "digest"
) -> int:
    """Return how many of a digest's first jobs fit into its segments, at most eight.

    The others belong on the call list. `values` are those of a digest, with all its jobs.
    """
    jobs = values["jobs"]
    if not isinstance(jobs, list):
        raise TypeError("the jobs of a digest are a list")
    room = KINDS[kind].max_segments
    for count in range(min(len(jobs), MAX_JOBS), 0, -1):
        shorter = {**values, "jobs": jobs[:count]}
        text = render(catalogue, kind, shorter, reader=reader).text
        if len(split(text).parts) <= room:
            return count
    return 0
