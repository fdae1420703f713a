"""What a household still lacks for a plan and for texts. Pure."""

from dataclasses import dataclass
from enum import StrEnum


class Missing(StrEnum):
    """Something still to be told or done, in the order in which to ask for it."""

    PHONE = "phone"
    STOPPED = "stopped"  # every phone has said STOP
    CONSENT = "consent"  # nobody has recorded a spoken yes
    START = "start"  # the phone has not answered the invitation
    PLOT = "plot"
    PLANTING = "planting"
    LETTER = "letter"  # a plot has none, and is served by calls
    CAN = "can"
    EATERS = "eaters"  # nobody has said who eats the crop
    STORE_TEMPERATURE = "store-temperature"  # no can becomes ready without a warm store


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """What there is of a household.

    Attributes:
        needs_call: calls stand in for texts.
        phones: how many serve it.
        asked: a spoken yes stands.
        texted: it may be texted on one of its phones now.
        stopped: all of its phones have said STOP.
        plots: how many it has.
        without_letter: how many of the plots have none.
        plantings: how many are open.
        containers: how many it has.
        eaters_said: who eats the crop was said, or how many they are.
        cold_store: it needs a warm store, and the store is cold or not known.
    """

    needs_call: bool = False
    phones: int = 0
    asked: bool = False
    texted: bool = False
    stopped: bool = False
    plots: int = 0
    without_letter: int = 0
    plantings: int = 0
    containers: int = 0
    eaters_said: bool = True
    cold_store: bool = False


def missing(standing: Standing) -> tuple[Missing, ...]:
    """Return what is missing, in the order in which to ask for it.

    A household that needs a call lacks nothing for texts: it gets none.
    """
    texts = not standing.needs_call
    stopped = standing.phones > 0 and standing.stopped
    waiting = standing.phones > 0 and standing.asked and not standing.texted and not stopped
    found = {
        Missing.PHONE: texts and not standing.phones,
        Missing.STOPPED: texts and stopped,
        Missing.CONSENT: texts and not standing.asked,
        Missing.START: texts and waiting,
        Missing.PLOT: not standing.plots,
        Missing.PLANTING: not standing.plantings,
        Missing.LETTER: texts and standing.without_letter > 0,
        Missing.CAN: not standing.containers,
        Missing.EATERS: not standing.eaters_said,
        Missing.STORE_TEMPERATURE: standing.cold_store,
    }
    return tuple(lack for lack, lacking in found.items() if lacking)
