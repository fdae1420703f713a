"""Words for where a reason comes from: how it was had, and who entered it here."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from service.agronomy.reason_origins import rule_origin
from service.agronomy.reasons import Reason
from service.agronomy.tables import Origin
from service.web.entered_figures import EnteredOrigin
from service.web.planting_words import how_had
from service.web.sentence import Sentence, sentence

_WITHOUT = {
    "Common practice, no source": sentence("Common practice, no source"),
    "Project choice, no source": sentence("Project choice, no source"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A source in short; `words` where it says that there is none."""

    source: str
    words: Sentence | None


def had_words(origin: Origin) -> Sentence | None:
    """Return how a figure was had; None where its source says itself that there is none."""
    if isinstance(origin, EnteredOrigin):
        return sentence("Local value, by %(who)s, source:", who=origin.noted_by)
    return how_had(origin)


def origins_of(reasons: Iterable[Reason]) -> tuple[Origin, ...]:
    """Return where reasons come from, each once: not what was told, nor what merely follows."""
    follows = rule_origin("follows")
    found = [reason.origin for reason in reasons]
    return tuple(
        dict.fromkeys(origin for origin in found if origin is not None and origin != follows)
    )


def heads_of(reasons: Iterable[Reason]) -> tuple[Head, ...]:
    """Return in short where reasons come from, each once."""
    heads = dict.fromkeys(origin.source.partition(":")[0] for origin in origins_of(reasons))
    return tuple(Head(source=head, words=_WITHOUT.get(head)) for head in heads)


def together(origins: Iterable[Origin]) -> tuple[Origin, ...]:
    """Return origins with those that say the same of having no source in one, in their order."""
    found: dict[str, Origin] = {}
    for origin in origins:
        head, _, rest = origin.source.partition(": ")
        if head not in _WITHOUT:
            found[f"{len(found)}"] = origin
        elif head in found:
            found[head] = replace(origin, source=f"{found[head].source}; {rest}")
        else:
            found[head] = origin
    return tuple(found.values())
