"""The words of the pages about areas: labels, what moved and why, and what was saved."""

from collections.abc import Mapping

from service.agronomy.changes import Change, ChangeKind
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.dosing import Season
from service.enrolment.locality_entries import HoldEntry, Replanned
from service.web.planting_words import DROPPED, DROPPED_OTHERWISE
from service.web.sentence import Sentence, sentence

LABELS: Mapping[str, Sentence] = {
    "store_c": sentence("Mean temperature of the stores"),
    "season": sentence("Season"),
    "season_first": sentence("First day of the season"),
    "season_last": sentence("Last day of the season"),
    "hold_first": sentence("First day without doses"),
    "hold_last": sentence("Last day without doses"),
}
SEASONS: Mapping[Season, Sentence] = {
    Season.RAINS: sentence("Rains: no water is added"),
    Season.DRY: sentence("Dry: two parts of water to one"),
}
IN_SHORT: Mapping[Season, Sentence] = {
    Season.RAINS: sentence("rains"),
    Season.DRY: sentence("dry"),
}
MOVED_BY: Mapping[MoveReason, Sentence] = {
    MoveReason.GAP: sentence("Too few days lay between two doses."),
    MoveReason.HOLD: sentence("No doses are given on its day."),
    MoveReason.AVOIDED: sentence("Its day was the household's market or prayer day."),
}
BY_PATTERN = sentence("Its pattern begins on another day, or has other days.")
WITHDRAWN_BEFORE = sentence("It was withdrawn before; nothing changed.")


def replanned_words(replanned: Replanned) -> tuple[Sentence, ...]:
    """Return how much was planned anew, and how much of it is not as it was."""
    if not replanned.households:
        return (sentence("No household was planned anew."),)
    said = [sentence("Households planned anew: %(homes)s.", homes=replanned.households)]
    said.append(sentence("Doses that changed: %(doses)s.", doses=len(replanned.moved)))
    if replanned.watered:
        said.append(sentence("Doses with other water: %(doses)s.", doses=replanned.watered))
    return tuple(said)


def overlap_words(hold: HoldEntry) -> Sentence:
    """Return that another hold lies on some of the same days."""
    return sentence(
        "Another hold lies on some of these days: from %(first)s to %(last)s.",
        first=hold.first_on,
        last=hold.last_on,
    )


def change_words(change: Change) -> Sentence:
    """Return what became of a dose."""
    day, litres = change.after_on, change.after_litres
    match change.kind:
        case ChangeKind.MOVED:
            return sentence("now on %(day)s", day=day)
        case ChangeKind.DROPPED:
            return sentence("dropped")
        case ChangeKind.BACK:
            return sentence("planned again, on %(day)s", day=day)
        case ChangeKind.ADDED:
            return sentence("new, on %(day)s", day=day)
        case ChangeKind.GONE:
            return sentence("no longer in the plan")
        case ChangeKind.LITRES:
            return sentence(
                "%(litres)s L in place of %(before)s L",
                litres=litres,
                before=change.before_litres,
            )


def why_words(change: Change) -> tuple[Sentence, ...]:
    """Return the rules that moved or dropped a dose; none where only its amount is another."""
    if change.kind is ChangeKind.LITRES:
        return ()
    found = tuple(
        MOVED_BY[rule]
        if isinstance(rule, MoveReason)
        else DROPPED.get(DropReason(rule).value, DROPPED_OTHERWISE)
        for rule in change.why
    )
    return found or ((BY_PATTERN,) if change.kind is ChangeKind.MOVED else ())
