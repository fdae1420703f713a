"""Why the cans give a dose nothing, in the words of a household's page."""

from collections.abc import Mapping
from enum import Enum, auto

from service.agronomy.allotment import Ask
from service.agronomy.regimes import container_ready
from service.web.home_store import HomeStore
from service.web.sentence import Sentence, sentence


class WhyNothing(Enum):
    """Why a dose gets nothing."""

    NOT_READY = auto()
    EMPTY = auto()
    TAKEN = auto()


REASONS: Mapping[WhyNothing, Sentence] = {
    WhyNothing.NOT_READY: sentence("No can is ready for it."),
    WhyNothing.EMPTY: sentence("By what was told, the cans that have rested are empty."),
    WhyNothing.TAKEN: sentence("What the cans hold goes to doses before it."),
}
POUR_NOTHING: Mapping[WhyNothing, Sentence] = {
    WhyNothing.NOT_READY: sentence(
        "Pour nothing yet: no can is ready for %(dose)s, due on %(day)s."
    ),
    WhyNothing.EMPTY: sentence(
        "Pour nothing yet: the cans hold nothing for %(dose)s, due on %(day)s."
    ),
    WhyNothing.TAKEN: sentence(
        "Pour nothing yet: doses before %(dose)s, due on %(day)s, take what the cans hold."
    ),
}


def why_nothing(store: HomeStore, ask: Ask) -> WhyNothing | None:
    """Return why the cans give a dose nothing on the day it is poured; None if they give some."""
    if store.stock.allotted[ask.dose].draws:
        return None
    store_c = store.cans[0].store_c if store.cans else None
    filled = (
        container_ready(
            stock.sealed_on,
            regime=ask.regime,
            longer_rest=stock.longer_rest,
            store_c=store_c,
        ).ready_on
        for stock in store.stock.stocks
    )
    if any(on is not None and on <= ask.on for on in filled):
        return WhyNothing.TAKEN
    rested = (can.standing.rested_on(ask.regime, store_c=store_c) for can in store.cans)
    if any(on is not None and on <= ask.on for on in rested):
        return WhyNothing.EMPTY
    return WhyNothing.NOT_READY
