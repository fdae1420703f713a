"""Named faults in cans and texts: urine too fresh, the wrong plot first, a text too many."""

from tests.mutants.named import Named

_ALLOTMENT = "service/agronomy/allotment.py"
_ALLOTTING = "service/planning/allotting.py"
_CALLS = "service/planning/calls.py"
_CANS = "service/agronomy/containers.py"
_DOSES = "service/confirmations/doses.py"
_PLANNER = "service/planning/planner.py"
_REGIMES = "service/agronomy/regimes.py"
_REFRESH = "service/planning/refresh.py"
_RESTS = "service/agronomy/regimes.toml"
_RULES = "service/agronomy/rules.toml"
_WINDOW = "service/planning/send_window.py"

NAMED_CANS_AND_TEXTS: tuple[Named, ...] = (
    Named(
        name="ready a day before the rest is over",
        file=_REGIMES,
        old="add_days(sealed_on, rest_days(regime, longer_rest=longer_rest))",
        new="add_days(sealed_on, rest_days(regime, longer_rest=longer_rest) - 1)",
    ),
    Named(
        name="own household rests 13 days",
        file=_RESTS,
        old="rest_days = 14",
        new="rest_days = 13",
    ),
    Named(
        name="crops sold raw need no warm store",
        file=_RESTS,
        old="[sold-any]\nrest_days = 183\nneeds_warm_store = true",
        new="[sold-any]\nrest_days = 183\nneeds_warm_store = false",
    ),
    Named(
        name="the flag for a longer rest ignored",
        file=_REGIMES,
        old="_LONGER_REST if longer_rest else regime.value",
        new="regime.value",
    ),
    Named(
        name="a store of 19 degrees counts as warm",
        file=_RULES,
        old="least_celsius = 20",
        new="least_celsius = 19",
    ),
    Named(
        name="a store of just 20 degrees counts as cold",
        file=_REGIMES,
        old="warm = store_c >= rules().least_store_celsius",
        new="warm = store_c > rules().least_store_celsius",
    ),
    Named(
        name="a store that nobody measured counts as warm",
        file=_REGIMES,
        old="        return StoreReason.STORE_UNKNOWN\n",
        new="        return None\n",
    ),
    Named(
        name="adding to a resting can keeps its clock",
        file=_CANS,
        old="if self.told_sealed_on is not None:\n                    self._fill(on)\n",
        new="pass\n",
    ),
    Named(
        name="ready on the day after the day of readiness",
        file=_CANS,
        old="ready_on is None or ready_on > today",
        new="ready_on is None or ready_on >= today",
    ),
    Named(
        name="a leaking can still counts as stock",
        file=_CANS,
        old="            case CanEventKind.LEAKED:\n                self._told_empty()\n",
        new="            case CanEventKind.LEAKED:\n",
    ),
    Named(
        name="a can not ready is used",
        file=_ALLOTMENT,
        old="return (entry for entry in ready if entry[1] <= ask.on)",
        new="return iter(ready)",
    ),
    Named(
        name="the oldest plot first",
        file=_ALLOTMENT,
        old="days_between(ask.planted_on, _NO_DAY)",
        new="days_between(_NO_DAY, ask.planted_on)",
    ),
    Named(
        name="cans still expected poured before those sealed",
        file=_ALLOTMENT,
        old="yield (stock.forecast, ready_on, place)",
        new="yield (not stock.forecast, ready_on, place)",
    ),
    Named(
        name="a can empties twice",
        file=_ALLOTMENT,
        old="                self._left[place] -= litres\n                wanted",
        new="                wanted",
    ),
    Named(
        name="the household's eaters decide for a crop that is sold",
        file=_ALLOTTING,
        old="bundle.planting.regime or bundle.household.regime",
        new="bundle.household.regime",
    ),
    Named(
        name="four texts a dose",
        file=_PLANNER,
        old="MAX_TEXTS_A_DOSE = 3",
        new="MAX_TEXTS_A_DOSE = 4",
    ),
    Named(
        name="the repeat a day later",
        file=_PLANNER,
        old="REPEAT_AFTER_DAYS = 2",
        new="REPEAT_AFTER_DAYS = 3",
    ),
    Named(
        name="the repeat on the dose's own evening",
        file=_PLANNER,
        old="REPEAT_AFTER_DAYS = 2",
        new="REPEAT_AFTER_DAYS = 1",
    ),
    Named(
        name="a repeat when the window is over",
        file=_PLANNER,
        old="evening == asked and job.closes_on > evening",
        new="evening == asked",
    ),
    Named(
        name="the reminder on the dose's own day",
        file=_PLANNER,
        old="job.due_on == add_days(evening, 1)",
        new="job.due_on == evening",
    ),
    Named(
        name="a second text on an evening",
        file=_PLANNER,
        old="    if evening in facts.used:\n        return None\n",
        new="",
    ),
    Named(
        name="a text at nine in the evening",
        file=_WINDOW,
        old="QUIET_FROM = time(20)",
        new="QUIET_FROM = time(21)",
    ),
    Named(
        name="a text at five in the morning",
        file=_WINDOW,
        old="QUIET_UNTIL = time(6)",
        new="QUIET_UNTIL = time(5)",
    ),
    Named(
        name="an amount that changed is no new revision",
        file=_REFRESH,
        old="        row.revision += 1\n",
        new="        pass\n",
    ),
    Named(
        name="a told dose without an answer counts as not done",
        file=_REFRESH,
        old="            row.state = DoseState.NOT_KNOWN\n",
        new="            row.state = DoseState.NOT_DONE\n",
    ),
    Named(
        name="a window closes on its last day",
        file=_REFRESH,
        old="row.state is not DoseState.PLANNED or row.closes_on >= when.today",
        new="row.state is not DoseState.PLANNED or row.closes_on > when.today",
    ),
    Named(
        name="silence called about a day early",
        file=_CALLS,
        old="SILENT_AFTER_DAYS = 2",
        new="SILENT_AFTER_DAYS = 1",
    ),
    Named(
        name="cut-off ignored for a dose reported late",
        file=_DOSES,
        old="    if on > state.plan.cutoff_on:\n",
        new="    if False:\n",
    ),
    Named(
        name="a dose from a can not ready goes unnoticed",
        file=_DOSES,
        old="        return Flag.NOT_READY\n",
        new="        return None\n",
    ),
)
