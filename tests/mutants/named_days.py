"""Named faults in days: a dose too late or too early, a month too short, a harvest too soon."""

from tests.mutants.named import Named

_CALENDAR = "service/agronomy/calendar.py"
_CUTOFF = "service/agronomy/cutoff.py"
_DAYS = "service/agronomy/dose_days.py"
_FACTS = "service/planning/season_facts.py"
_HARVEST = "service/agronomy/withholding.py"
_RULES = "service/agronomy/rules.toml"
_SEASON = "service/agronomy/season.py"

NAMED_DAYS: tuple[Named, ...] = (
    Named(name="a month of 29 days", file=_CALENDAR, old="MONTH_DAYS = 30", new="MONTH_DAYS = 29"),
    Named(
        name="six months of 182 days",
        file=_CALENDAR,
        old="HALF_YEAR_DAYS = 183",
        new="HALF_YEAR_DAYS = 182",
    ),
    Named(
        name="cut-off a day later",
        file=_CUTOFF,
        old="add_days(planted_on, floor(share * season_days))",
        new="add_days(planted_on, floor(share * season_days) + 1)",
    ),
    Named(
        name="cut-off rounded up",
        file=_CUTOFF,
        old="floor(share * season_days)",
        new="-floor(-share * season_days)",
    ),
    Named(
        name="no month before the first harvest",
        file=_CUTOFF,
        old="add_days(first_harvest_on, -MONTH_DAYS)",
        new="first_harvest_on",
    ),
    Named(
        name="the later of the two last days",
        file=_CUTOFF,
        old="if by_month < by_share:",
        new="if by_month > by_share:",
    ),
    Named(
        name="a tie names the month",
        file=_CUTOFF,
        old="if by_month < by_share:",
        new="if by_month <= by_share:",
    ),
    Named(
        name="the month counted to the season's end, not to the first pick",
        file=_CUTOFF,
        old="    if crop.picked_repeatedly:\n",
        new="    if False:\n",
    ),
    Named(
        name="a dose on the day after the cut-off",
        file=_DAYS,
        old="and due_on > ask.cutoff_on",
        new="and add_days(due_on, -1) > ask.cutoff_on",
    ),
    Named(
        name="no dose on the cut-off itself",
        file=_DAYS,
        old="and due_on > ask.cutoff_on",
        new="and due_on >= ask.cutoff_on",
    ),
    Named(
        name="cut-off ignored for a dose that was moved",
        file=_DAYS,
        old="and due_on > ask.cutoff_on",
        new="and usual_on > ask.cutoff_on",
    ),
    Named(
        name="a hold pushes a dose past the cut-off",
        file=_DAYS,
        old="if crowded or held_on > ask.cutoff_on:",
        new="if crowded:",
    ),
    Named(
        name="a held dose squeezed in before the next",
        file=_DAYS,
        old="if crowded or held_on > ask.cutoff_on:",
        new="if held_on > ask.cutoff_on:",
    ),
    Named(
        name="a dose on the hold's last day",
        file=_DAYS,
        old="on = add_days(last_on, 1)",
        new="on = last_on",
    ),
    Named(
        name="the hold ends a day late",
        file=_DAYS,
        old="on = add_days(last_on, 1)",
        new="on = add_days(last_on, 2)",
    ),
    Named(
        name="four days between two doses",
        file=_RULES,
        old="min_gap_days = 5",
        new="min_gap_days = 4",
    ),
    Named(
        name="a dose open for a week after its day",
        file=_RULES,
        old="window_days = 6",
        new="window_days = 7",
    ),
    Named(
        name="the first dose after emergence a day early",
        file=_RULES,
        old="[7, 14, 21, 28, 42, 56]",
        new="[6, 14, 21, 28, 42, 56]",
    ),
    Named(
        name="a window reaches into the next dose's day",
        file=_DAYS,
        old="before_next = add_days(min(following), -1)",
        new="before_next = min(following)",
    ),
    Named(
        name="a window reaches past the cut-off",
        file=_DAYS,
        old="min(last_on, before_next, cutoff_on)",
        new="min(last_on, before_next)",
    ),
    Named(
        name="emergence a day later than reported",
        file=_DAYS,
        old="add_days(emergence_on, days) for",
        new="add_days(emergence_on, days + 1) for",
    ),
    Named(
        name="reported emergence ignored",
        file=_SEASON,
        old="facts.emerged_on or usual_emergence_on",
        new="usual_emergence_on",
    ),
    Named(
        name="a dose that closed does not keep the next one off",
        file=_DAYS,
        old="reached = on if last is None else max(on, last)",
        new="reached = last",
    ),
    Named(
        name="a given dose moved by new facts",
        file=_SEASON,
        old="fixed={**missed, **facts.given}",
        new="fixed=missed",
    ),
    Named(
        name="harvest a day too soon",
        file=_HARVEST,
        old="add_days(last_dose_on, MONTH_DAYS)",
        new="add_days(last_dose_on, MONTH_DAYS - 1)",
    ),
    Named(
        name="a dose that may have been given does not count",
        file=_HARVEST,
        old="    return dose.closes_on\n",
        new="    return None\n",
    ),
    Named(
        name="a possible dose counts from its day, not its window's end",
        file=_HARVEST,
        old="    return dose.closes_on\n",
        new="    return dose.due_on\n",
    ),
    Named(
        name="harvest counted from the first dose",
        file=_HARVEST,
        old="return max((day for day in days",
        new="return min((day for day in days",
    ),
    Named(
        name="the last report of a dose stands, not the first",
        file=_FACTS,
        old="                given.setdefault(number, fact.on)\n                not_done",
        new="                given[number] = fact.on\n                not_done",
    ),
    Named(
        name="plants up before sowing",
        file=_FACTS,
        old="emerged_on >= planted_on else None",
        new="True else None",
    ),
)
