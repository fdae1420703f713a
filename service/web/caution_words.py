"""When each caution holds, and the reply codes that growers use, in words."""

from collections.abc import Collection
from dataclasses import dataclass

from service.agronomy.cautions import Caution, Occasion
from service.web.sentence import Sentence, sentence

GROUPS = {  # in the order in which the page shows them
    Occasion.BEFORE_STARTING: sentence("Before you start"),
    Occasion.ALWAYS: sentence("Always"),
    Occasion.OWN_HOUSEHOLD: sentence("Where only the own household eats the crop"),
    Occasion.SOLD: sentence("Where the crop is sold"),
    Occasion.EATEN_RAW: sentence("Where the crop may be eaten raw"),
    Occasion.LEGUME: sentence("Where beans, peas or groundnuts grow"),
    Occasion.POOR_SOIL: sentence("Where the soil is salty or dry"),
    Occasion.COLD_STORE: sentence("Where the store is cold"),
    Occasion.ASSUMED_EMERGENCE: sentence("While nobody has told that the plants are up"),
    Occasion.TINY_SEED: sentence("Where tiny seed is sown on the plot"),
}

CODES: tuple[tuple[Sentence, Sentence], ...] = (
    (sentence("A3"), sentence("Dose 3 on plot A was done today.")),
    (sentence("A3 2"), sentence("Dose 3 on plot A was done two days ago.")),
    (sentence("A3 NO"), sentence("Dose 3 on plot A was not done.")),
    (sentence("A SOWN"), sentence("Plot A was sown or planted out today.")),
    (sentence("A UP"), sentence("On plot A most plants are up.")),
    (sentence("A RAIN"), sentence("Heavy rain on plot A: the dose waits.")),
    (sentence("A CUT"), sentence("Plot A was harvested today.")),
    (sentence("CAN 2"), sentence("Can 2 was sealed today.")),
    (sentence("WHY A"), sentence("Why is the next dose on plot A when it is?")),
    (sentence("STOP"), sentence("No more texts. It works at once, and in every language.")),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionGroup:
    """The cautions that hold on one occasion."""

    heading: Sentence
    cautions: tuple[Caution, ...]


def caution_groups(found: Collection[Caution]) -> tuple[CautionGroup, ...]:
    """Return the cautions by when they hold, in the order of the page."""
    return tuple(
        CautionGroup(
            heading=heading,
            cautions=tuple(caution for caution in found if caution.when is when),
        )
        for when, heading in GROUPS.items()
    )
