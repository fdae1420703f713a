"""Mutants that no test can tell from the code, each with its proof.

A mutant is known by its file, the text of its line, what stood there and what stands there now.
"""

from collections.abc import Mapping

from tests.mutants.equivalent import Equivalent
from tests.mutants.equivalents_more import MORE
from tests.mutants.mutant import Change

_ALLOTMENT = "service/agronomy/allotment.py"
_ALLOTTING = "service/planning/allotting.py"
_COLLECT = "service/planning/collect_notices.py"
_DOSING = "service/agronomy/dosing.py"
_DRAFTS = "service/planning/drafts.py"
_REFRESH = "service/planning/refresh.py"
_SEASON = "service/agronomy/season.py"
_PLANNER = "service/planning/planner.py"
_SHARES = "service/agronomy/shares.py"
_STOCK = "service/planning/stock.py"
_SUPPLY = "service/agronomy/supply.py"
_USUAL_DAY = "service/planning/usual_day.py"
_WATER = "service/agronomy/watering.py"
_BOARD_NOW = "service/planning/board_now.py"
_CANS = "service/agronomy/containers.py"
_CALLS = "service/planning/calls.py"
_CORRECTIONS = "service/planning/corrections.py"
_OF_THIS_ID = "(item for item in phone.households if item.id == household_id)"
_BEHIND_IT = (
    "(_has_doses_behind(item) for item in plantings if item.bundle.planting.id == first.dose[0])"
)

EQUIVALENTS: tuple[Equivalent, ...] = (
    Equivalent(
        file=_ALLOTMENT,
        line="mixed = len({ask.regime for ask in ordered}) > 1 or any(",
        faults=(
            (
                "len({ask.regime for ask in ordered}) > 1",
                "len({ask.regime for ask in ordered}) >= 1",
            ),
            (
                "len({ask.regime for ask in ordered}) > 1",
                "len({ask.regime for ask in ordered}) > 0",
            ),
        ),
        proof="With one kind of eater and days that rise, a search for room finds none, so that"
        " leaving it out only saves time.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="ask.on > later.on for ask, later in pairwise(ordered)",
        faults=(("ask.on > later.on", "ask.on >= later.on"),),
        proof="Where days are equal a search for room finds none and only costs time.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="while mixed and wanted > _NOISE:",
        faults=(("mixed and wanted > _NOISE", "mixed or wanted > _NOISE"),),
        proof="Nothing wanted moves nothing and ends the loop; one kind of eater finds no room.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="if wanted <= _NOISE:",
        faults=(("wanted <= _NOISE", "False"),),
        proof="What is drawn is never more than what is wanted, and noise is not drawn.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="if wanted <= _NOISE: break",
        faults=(("break", "pass"),),
        proof="Where nothing is wanted, the cans that follow are drawn for nothing, or noise.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="if back <= 0: break",
        faults=(("break", "pass"),),
        proof="Where nothing is too much, nothing, or noise, goes back.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="if self._asks[dose].told or draws.get(place, 0.0) <= _NOISE:",
        faults=(("draws.get(place, 0.0)", "draws.get(place, -1.0)"),),
        proof="A dose that draws nothing from a can is passed over for either figure.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="return 0.0",
        faults=(("0.0", "-1.0"),),
        proof="The one caller stops at anything that is no gain.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="if back <= 0:",
        faults=(("back <= 0", "back < 0"), ("back <= 0", "False"), ("back <= 0", "back <= -1")),
        proof="No more is kept than what is drawn, so that nothing, or noise, goes back.",
    ),
    Equivalent(
        file=_ALLOTMENT,
        line="short = max(0.0, ask.litres - litres)",
        faults=(("max(0.0, ask.litres - litres)", "max(-1.0, ask.litres - litres)"),),
        proof="A lack below nothing is told as nothing on the next line.",
    ),
    Equivalent(
        file=_CANS,
        line="(event.on, 1, place, shelf, event.kind)",
        faults=(
            ("(event.on, 1, place, shelf, event.kind)", "(event.on, 2, place, shelf, event.kind)"),
        ),
        proof="The figure is only compared with the 0 of what was poured.",
    ),
    Equivalent(
        file=_CANS,
        line="steps += [(use.on, 0, place, None, use) for place, use in enumerate(uses)]",
        faults=(("(use.on, 0, place, None, use)", "(use.on, -1, place, None, use)"),),
        proof="The figure is only compared with the 1 of what happened to a can.",
    ),
    Equivalent(
        file=_CANS,
        line="for on, _, _, shelf, what in sorted(steps, key=lambda step: step[:3]):",
        faults=((":3", ":2"),),
        proof="A sort keeps the order of equals, and the steps of a can are made in their order.",
    ),
    Equivalent(
        file=_CANS,
        line="litres = max(0.0, min(wanted, self.litres))",
        faults=(("max(0.0, min(wanted, self.litres))", "max(-1.0, min(wanted, self.litres))"),),
        proof="Neither what is wanted nor what a can holds is ever less than nothing.",
    ),
    Equivalent(
        file=_DOSING,
        line="_STEPS = ((2.0, 0.5), (0.5, 0.25), (0.0, 0.1))",
        faults=(("(0.0, 0.1)", "(-1.0, 0.1)"),),
        proof="An amount is never less than nothing, so that the last step takes all that is left.",
    ),
    Equivalent(
        file=_DOSING,
        line="return round(floor(litres / step + _NOISE) * step, 2)",
        faults=(
            (
                "round(floor(litres / step + _NOISE) * step, 2)",
                "round(floor(litres / step + _NOISE) * step, 3)",
            ),
        ),
        proof="Every step has two decimals at most, and only noise lies beyond the third.",
    ),
    Equivalent(
        file=_DOSING,
        line="if Fraction(cups, count) <= most",
        faults=(("Fraction(cups, count) <= most", "Fraction(cups, count) < most"),),
        proof="The most lies a hair above a plant's share, so a pace equals it by noise alone.",
    ),
    Equivalent(
        file=_SEASON,
        line="season = season_on(day, facts.spans, otherwise=facts.spans[-1].season)",
        faults=(("facts.spans[-1]", "facts.spans[0]"), ("-1", "-0")),
        proof="Some span holds the day on this line, so that `otherwise` is never the answer.",
    ),
    Equivalent(
        file=_SHARES,
        line="remaining = max(0.0, remaining - litres[number])",
        faults=(("max(0.0, remaining - litres[number])", "max(-1.0, remaining - litres[number])"),),
        proof="A share is never more than what remains, but for noise.",
    ),
    Equivalent(
        file=_SHARES,
        line="too_few=rest - cap * len(free) > _NOISE * season_litres,",
        faults=(("_NOISE * season_litres", "_NOISE / season_litres"),),
        proof="Either figure lies far below the smallest measure and far above a sum's noise.",
    ),
    Equivalent(
        file=_WATER,
        line="return max(usual_water_ratio(season), chosen or 0.0)",
        faults=(("chosen or 0.0", "chosen or -1.0"),),
        proof="No season asks for less water than none, which goes before either figure.",
    ),
    Equivalent(
        file=_SUPPLY,
        line="return Band(low=people * litres.low, usual=people * litres.usual,"
        " high=people * litres.high)",
        faults=(("people * litres.usual", "people / litres.usual"),),
        proof="The table's usual adult passes 1 L a day, so that both are the people.",
    ),
    Equivalent(
        file=_ALLOTTING,
        line="store_c = cans[0].store_c if cans else None",
        faults=(("cans[0]", "cans[-1]"),),
        proof="A household's cans stand in one store.",
    ),
    Equivalent(
        file=_ALLOTTING,
        line="*(_expected(known[0].bundle.household, cans, today) if known else ()),",
        faults=(("known[0]", "known[-1]"),),
        proof="The plantings are those of one household.",
    ),
    *(
        Equivalent(
            file=_COLLECT,
            line=line,
            faults=(("plantings[0]", "plantings[-1]"),),
            proof="The plantings are those of one household.",
        )
        for line in (
            "household = plantings[0].bundle.household",
            "household_id = plantings[0].bundle.household.id",
            "stock = board.stock[plantings[0].bundle.household.id]",
            "stock = board.stock[plantings[0].bundle.household.id] [2]",
        )
    ),
    Equivalent(
        file=_COLLECT,
        line="store_c=cans[0].store_c if cans else None,",
        faults=(("cans[0]", "cans[-1]"),),
        proof="A household's cans stand in one store.",
    ),
    Equivalent(
        file=_COLLECT,
        line="if any(",
        faults=(
            (
                f"any({_BEHIND_IT})",
                f"all({_BEHIND_IT})",
            ),
        ),
        proof="A dose belongs to one planting, which is among the household's.",
    ),
    Equivalent(
        file=_COLLECT,
        line="if not lacking:",
        faults=(("not lacking", "False"),),
        proof="Where no dose lacks anything the balance is short of nothing, which is too little"
        " to tell.",
    ),
    Equivalent(
        file=_REFRESH,
        line="session.flush()",
        faults=(("session.flush()", "pass"),),
        proof="The session writes what is pending before it looks anything up, and at the end.",
    ),
    Equivalent(
        file=_STOCK,
        line="store_c = book.store_c.get(bundles[0].area_id)",
        faults=(("bundles[0]", "bundles[-1]"),),
        proof="A household's cans stand in one area.",
    ),
    Equivalent(
        file=_STOCK,
        line="for bundle, standing in zip(bundles, told.cans, strict=True)",
        faults=(("True", "False"),),
        proof="The book tells of every can that it was given, in their order.",
    ),
    Equivalent(
        file=_CALLS,
        line="household_id = plantings[0].bundle.household.id",
        faults=(("plantings[0]", "plantings[-1]"),),
        proof="The plantings are those of one household.",
    ),
    Equivalent(
        file=_CORRECTIONS,
        line='kept = (key.split(":", 2) for key in said if key.startswith(CORRECTION_KINDS))',
        faults=(("key.split(':', 2)", "key.split(':', 3)"),),
        proof="A correction's key holds two colons: neither a day nor an id has any.",
    ),
    Equivalent(
        file=_USUAL_DAY,
        line="if days_between(_calendar_day(course, number), given_on) <= window_days:",
        faults=tuple(
            ("days_between(_calendar_day(course, number), given_on) <= window_days", other)
            for other in (
                "days_between(_calendar_day(course, number), given_on) < window_days",
                "False",
            )
        ),
        proof="A day only ever moves to a later one, so that the second look says the same.",
    ),
    *(
        Equivalent(
            file=_REFRESH,
            line=line,
            faults=(("0.0", "1.0"), ("0.0", "-1.0")),
            proof="What a new row begins with is written over, unless it is what is to be written.",
        )
        for line in ("urine_l=0.0,", "water_l=0.0,", "short_l=0.0, [2]")
    ),
    *(
        Equivalent(
            file=_DRAFTS,
            line=line,
            faults=(("phone.households[0]", "phone.households[-1]"),),
            proof="The phone serves one household.",
        )
        for line in (
            "return phone.households[0].language",
            "return phone.households[0] if len(phone.households) == 1 else None",
        )
    ),
    Equivalent(
        file=_DRAFTS,
        line="return next((item for item in phone.households if item.id == household_id), None)",
        faults=(
            (
                f"next({_OF_THIS_ID}, None)",
                f"next(reversed([*{_OF_THIS_ID}]), None)",
            ),
        ),
        proof="No two households have the same id.",
    ),
    Equivalent(
        file=_DRAFTS,
        line="job = text.jobs[0]",
        faults=(("text.jobs[0]", "text.jobs[-1]"),),
        proof="Several jobs are a digest, which has left the function before.",
    ),
    Equivalent(
        file=_BOARD_NOW,
        line="MOST_BY_NAME = 500  # a query names no more households than every database takes",
        faults=(("500", "501"), ("500", "499")),
        proof="What is found of a household is the same by its name and among all.",
    ),
    Equivalent(
        file=_BOARD_NOW,
        line="if len(stale) > MOST_BY_NAME:",
        faults=(("len(stale) > MOST_BY_NAME", "len(stale) >= MOST_BY_NAME"),),
        proof="What is found of a household is the same by its name and among all.",
    ),
    Equivalent(
        file=_BOARD_NOW,
        line="if not stale:",
        faults=(("not stale", "False"),),
        proof="Where no household is stale none is written and none looked up anew.",
    ),
    Equivalent(
        file=_PLANNER,
        line="room = 1 if len(jobs) == 1 else max(1, fits(jobs))",
        faults=(
            (
                "1 if len(jobs) == 1 else max(1, fits(jobs))",
                "2 if len(jobs) == 1 else max(1, fits(jobs))",
            ),
            ("len(jobs) == 1", "len(jobs) == 0"),
        ),
        proof="One job alone is all there is to tell, whatever the room, which is never none.",
    ),
    Equivalent(
        file=_PLANNER,
        line="job = jobs[0]",
        faults=(("jobs[0]", "jobs[-1]"),),
        proof="Several jobs have left the function a line before, so that the first is the last.",
    ),
    *MORE,
)


def proofs() -> Mapping[Change, str]:
    """Return the proof of each equivalent mutant."""
    return {
        (entry.file, entry.line, old, new): entry.proof
        for entry in EQUIVALENTS
        for old, new in entry.faults
    }
