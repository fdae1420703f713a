"""Words for how a planting stands, for what was said of it, and for where figures come from."""

from service.agronomy.cutoff import CutoffRule
from service.agronomy.season_plan import SeasonWarning
from service.agronomy.tables import Found, Origin
from service.records.fields import DoseState, FactKind, Flag, Source
from service.web.sentence import Sentence, sentence

STATES = {
    DoseState.PLANNED: sentence("due"),
    DoseState.DONE: sentence("done"),
    DoseState.NOT_DONE: sentence("not done"),
    DoseState.NOT_KNOWN: sentence("not known"),
    DoseState.DROPPED: sentence("dropped"),
}
OPEN = sentence("due, open now")

DROPPED = {
    "after-cutoff": sentence("It falls after the last day for a dose."),
    "hold": sentence("It was held, and the next dose was too near or the last day had passed."),
    "not-ready": sentence("No can was ready while it was open."),
    "no-planting-dose": sentence("Seed this small takes no dose at sowing."),
    "harvested": sentence("The crop was harvested before."),
    "not-in-pattern": sentence("The pattern of doses has become shorter."),
    "failed": sentence("The crop failed, or never came up."),
    "site": sentence("Its ground waits for a decision: nothing is given there."),
}
DROPPED_OTHERWISE = sentence("A rule took it out of the plan.")

RULES = {
    CutoffRule.ONE_MONTH: sentence("the one-month rule binds: 30 days before the first harvest"),
    CutoffRule.SHARE_OF_SEASON: sentence("the share of the season binds"),
}

WARNINGS = {
    SeasonWarning.OVER_3_L_PER_M2: sentence(
        "The season's amount is more than twice the usual: check the target."
    ),
    SeasonWarning.SHORTFALL: sentence(
        "The doses left cannot hold the season's whole amount. Do not pour more for that."
    ),
    SeasonWarning.NO_DOSE_FITS: sentence(
        "No dose fits before the last day. Keep what you have for another crop."
    ),
}

FLAGS = {
    Flag.AFTER_CUTOFF: sentence("after the last day for a dose"),
    Flag.NOT_READY: sentence("from a can that was not ready"),
    Flag.DROPPED: sentence("though the plan had dropped it"),
    Flag.TOO_EARLY: sentence("before the safe day"),
}

_HAD = {
    Found.READ: sentence("Source, read:"),
    Found.PACKAGE: sentence("Source, data of a published package:"),
    Found.COMPUTED: sentence("Computed:"),
    Found.MEMORY: sentence("From memory, not looked up:"),
    Found.LOCAL: sentence("Entered here:"),
}

_FACTS = {
    FactKind.SOWN: sentence("Sown or planted out on %(day)s"),
    FactKind.EMERGED: sentence("Most plants up on %(day)s"),
    FactKind.APPLIED: sentence("%(code)s done on %(day)s"),
    FactKind.NOT_APPLIED: sentence("%(code)s not done, told on %(day)s"),
    FactKind.SECOND_REPORT: sentence("%(code)s told a second time, for %(day)s"),
    FactKind.NOT_READY: sentence("No can was ready for %(code)s up to %(day)s"),
    FactKind.HARVESTED: sentence("Harvested on %(day)s"),
    FactKind.BURNT: sentence("Leaves burnt, told on %(day)s"),
    FactKind.GO_ON: sentence("Plants looked at on %(day)s: doses go on"),
    FactKind.PUT_OFF: sentence("Sowing put off to %(day)s"),
    FactKind.RESOWN: sentence("Sown again on %(day)s"),
    FactKind.FAILED: sentence("Failed or never came up, told for %(day)s"),
    FactKind.ELSEWHERE: sentence(
        "%(code)s given on %(day)s, %(litres)s L, before the plan knew of it"
    ),
}

_WAYS = {
    Source.TEXT: sentence("by text"),
    Source.MENU: sentence("by phone menu"),
    Source.CALL: sentence("by telephone"),
    Source.FORM: sentence("on a form"),
    Source.IMPORT: sentence("by import"),
    Source.SERVICE: sentence("by the service itself"),
}


def told_by(source: Source, noted_by: str | None, *, at: str) -> Sentence:
    """Return how a fact came, who of the staff wrote it down, and when (`at`, in words)."""
    way = _WAYS[source]
    if noted_by is None:
        return sentence("%(way)s, %(at)s", way=way, at=at)
    return sentence("%(way)s, noted by %(who)s, %(at)s", way=way, who=noted_by, at=at)


def fact_words(kind: FactKind, *, day: str, code: str, litres: float | None) -> Sentence:
    """Return what a fact says; `day` and a dose's `code` come in words."""
    values = {"day": day, "code": code, "litres": litres or 0}
    return Sentence(text=_FACTS[kind].text, values=values)


def how_had(origin: Origin) -> Sentence | None:
    """Return how a figure was had; None where its source says itself that there is none."""
    return None if "no source" in origin.source else _HAD[origin.found]
