"""The menu: seven plain links, with what waits beside two of them; the demo has its phones too."""

from dataclasses import dataclass

from flask import request

from service.records.waiting import waiting_counts
from service.web.here import Here
from service.web.sentence import Sentence, sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A link of the menu; `count` is what waits behind it."""

    path: str
    text: Sentence
    current: bool
    count: int | None = None


def menu(here: Here | None) -> tuple[Entry, ...]:
    """Return the menu of a signed-in visitor; nobody else has one."""
    if here is None:
        return ()
    with here.reading() as session:
        waits = waiting_counts(session, here.association_id, today=here.today)
    entries = [
        ("/", sentence("Today"), waits.tasks),
        ("/reading", sentence("Reading"), waits.texts),
        ("/households", sentence("Households"), None),
        ("/enrol", sentence("Enrol"), None),
        ("/containers", sentence("Cans"), None),
        ("/areas", sentence("Areas"), None),
        ("/try", sentence("Try a reply"), None),
    ]
    if here.services.pretends:
        entries.append(("/phones", sentence("Pretend phones"), None))
    return tuple(
        Entry(path=path, text=text, current=_is_here(path), count=count)
        for path, text, count in entries
    )


def _is_here(path: str) -> bool:
    return request.path == path or (path != "/" and request.path.startswith(f"{path}/"))
