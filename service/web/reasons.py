"""Why a season's amounts and rules are as they are, in the words of the pages."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from service.agronomy.perennial import perennial_rule
from service.agronomy.reason_origins import rule_origin
from service.agronomy.reasons import About, Reason, RuleId
from service.agronomy.rules import rules
from service.agronomy.tables import Origin
from service.web.asked import Asked
from service.web.planting_sheet import shortfall_litres
from service.web.reason_words import WORDS, words_of
from service.web.sentence import Sentence, sentence
from service.web.source_words import Head, heads_of, origins_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A rule that stands in a section of its own."""

    anchor: str
    heading: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class Cited:
    """A section that a reason points to, and where its rules come from, in short."""

    section: Section
    heads: tuple[Head, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One answer to "why?"; a fact that somebody told has no origin and cites nothing."""

    anchor: str
    heading: Sentence
    said: tuple[Sentence, ...]
    origins: tuple[Origin, ...] = ()
    cited: tuple[Cited, ...] = ()


SEASON = Section(anchor="season", heading=sentence("Length of the season"))
PATTERN = Section(anchor="pattern", heading=sentence("Days of the doses"))
TIMING = Section(anchor="timing", heading=sentence("Between two doses"))
CUTOFF = Section(anchor="cutoff", heading=sentence("Last day for a dose"))
SHARING = Section(anchor="sharing", heading=sentence("Sharing it out"))
WATER = Section(anchor="water", heading=sentence("Water"))
TURNS = Section(anchor="turns", heading=sentence("Whose turn at the cans"))

_SECTIONS: Mapping[RuleId, Section] = {
    RuleId.DOSE_AT_PLANTING: PATTERN,
    RuleId.AFTER_EMERGENCE: PATTERN,
    RuleId.AFTER_ASSUMED_EMERGENCE: PATTERN,
    RuleId.IN_RAINS: PATTERN,
    RuleId.GAP: TIMING,
    RuleId.WINDOW: TIMING,
    RuleId.BEFORE_NEXT: TIMING,
    RuleId.OWN_DAY_ONLY: TIMING,
    RuleId.HELD_TOO_NEAR: TIMING,
    RuleId.UP_TO_CUTOFF: CUTOFF,
    RuleId.PAST_CUTOFF: CUTOFF,
    RuleId.HELD_PAST_CUTOFF: CUTOFF,
    RuleId.EQUAL_SHARE: SHARING,
    RuleId.CAPPED: SHARING,
    RuleId.ROUNDED_DOWN: SHARING,
    RuleId.TOLD_STAYS: SHARING,
    RuleId.DROPPED_TAKES_NOTHING: SHARING,
    RuleId.WATER_RAINS: WATER,
    RuleId.WATER_DRY: WATER,
    RuleId.WATER_RAISED: WATER,
    RuleId.TOLD_FIRST: TURNS,
    RuleId.DUE_FIRST: TURNS,
    RuleId.YOUNGER_FIRST: TURNS,
    RuleId.FROM_CAN: TURNS,
    RuleId.FROM_EXPECTED_CAN: TURNS,
    RuleId.SHORT: TURNS,
}
_NOT_A_RULE = frozenset({RuleId.IN_SPAN, RuleId.WATER})


def cited_by(reasons: Iterable[Reason]) -> tuple[Cited, ...]:
    """Return the sections that reasons point to, each with where its rules come from."""
    known = [reason for reason in reasons if reason.rule in _SECTIONS]
    anchors = dict.fromkeys(_SECTIONS[reason.rule].anchor for reason in known)
    return tuple(
        Cited(section=_SECTIONS[own[0].rule], heads=heads_of(own))
        for own in (
            [reason for reason in known if _SECTIONS[reason.rule].anchor == anchor]
            for anchor in anchors
        )
    )


def uncited_origins(reasons: Iterable[Reason]) -> tuple[Origin, ...]:
    """Return where those reasons come from that have no section of their own."""
    return origins_of(reason for reason in reasons if reason.rule not in _SECTIONS)


def amount_answers(asked: Asked) -> tuple[Answer, ...]:
    """Return why the season's amounts are as they are."""
    return (_total(asked), _sharing(asked), *_water(asked), *_turns(asked))


def pattern_answers(asked: Asked) -> tuple[Answer, ...]:
    """Return the rules for the days of doses."""
    steps = [step for _, step in asked.why.steps() if _SECTIONS.get(step.rule) == PATTERN]
    return (
        Answer(
            anchor=PATTERN.anchor,
            heading=PATTERN.heading,
            said=(_pattern_words(asked),),
            origins=origins_of(steps),
        ),
        Answer(
            anchor=TIMING.anchor,
            heading=TIMING.heading,
            said=(
                sentence(
                    "At least %(gap)s days lie between two doses. A dose stays open for %(window)s"
                    " days after its own, but not into the next dose and not past the last day."
                    " A dose left out is not made up.",
                    gap=rules().min_gap_days,
                    window=rules().window_days,
                ),
            ),
            origins=(rules().origins["timing"],),
        ),
    )


def _pattern_words(asked: Asked) -> Sentence:
    if asked.facts.crop.perennial:
        rule = perennial_rule()
        return sentence(
            "In each rains the first dose %(first)s days after they begin, then one every %(every)s"
            " days.",
            first=rule.first_after_days,
            every=rule.every_days,
        )
    return sentence(
        "One dose with sowing or planting out, then %(days)s days after plants are up.",
        days=", ".join(str(days) for days in asked.facts.after_emergence_days),
    )


def _total(asked: Asked) -> Answer:
    chain = [step for step in asked.why.of(About.TARGET) if step.rule in WORDS]
    return Answer(
        anchor="total",
        heading=sentence("Season's amount"),
        said=words_of(chain, asked.naming),
        origins=origins_of(chain),
    )


def _sharing(asked: Asked) -> Answer:
    cap = asked.why.of(About.CAP)
    left_over = asked.why.of(About.SHORTFALL) if shortfall_litres(asked.state) else ()
    return Answer(
        anchor=SHARING.anchor,
        heading=SHARING.heading,
        said=(
            sentence(
                "What is left of the season's amount is shared equally over the doses left. Litres"
                " once told stay as they are."
            ),
            *words_of(cap, asked.naming),
            sentence("Amounts are rounded down to what a grower can measure."),
            *words_of(left_over, asked.naming),
        ),
        origins=(
            *origins_of(cap),
            *(rule_origin(name) for name in ("equal-shares", "told-stays", "measures")),
        ),
    )


def _water(asked: Asked) -> tuple[Answer, ...]:
    steps: list[Reason] = []
    for subject, step in asked.why.steps():
        if subject.about is About.DOSE_WATER and step.rule not in _NOT_A_RULE | {
            known.rule for known in steps
        }:
            steps.append(step)
    if not steps:
        return ()
    return (
        Answer(
            anchor=WATER.anchor,
            heading=WATER.heading,
            said=(
                *words_of(steps, asked.naming),
                sentence("Water is a number of its own and changes nothing else."),
            ),
            origins=origins_of(steps),
        ),
    )


def _turns(asked: Asked) -> tuple[Answer, ...]:
    if not asked.stock.asks:
        return ()
    return (
        Answer(
            anchor=TURNS.anchor,
            heading=TURNS.heading,
            said=(
                sentence(
                    "Doses told already go first, then the one due first; of one day's doses the"
                    " youngest plot's. Sealed cans give before cans still to be sealed."
                ),
            ),
            origins=tuple(
                rule_origin(name) for name in ("told-first", "turn", "sealed-first", "no-can")
            ),
        ),
    )
