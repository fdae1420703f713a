"""More mutants that no test can tell from the code, each with its proof."""

from tests.mutants.equivalent import Equivalent

_AMOUNT = "service/agronomy/amount_chain.py"
_COLLECTING = "service/agronomy/collecting.py"
_DOSE_DAY = "service/agronomy/dose_day_chain.py"
_END = "service/agronomy/season_end.py"
_FERTILISER = "service/agronomy/fertiliser.py"
_GROUNDS = "service/agronomy/grounds.py"
_MEASURES = "service/agronomy/measures.py"
_ORIGINS = "service/agronomy/reason_origins.py"
_POUR = "service/agronomy/pour_chain.py"
_SHAPE = "service/agronomy/shape.py"
_SHAPE_PLAN = "service/agronomy/shape_plan.py"

_ANY_DAY = (
    ("date(2027, 1, 4)", "date(2028, 1, 4)"),
    ("date(2027, 1, 4)", "date(2026, 1, 4)"),
    ("date(2027, 1, 4)", "date(2027, 2, 4)"),
    ("date(2027, 1, 4)", "date(2027, 1, 5)"),
    ("date(2027, 1, 4)", "date(2027, 1, 3)"),
)
_SAME_LENGTH = "Both are made one to one from the same cans or lacks, so that none is longer."
_NOT_READ = (
    "No plan of a shape reads it: emergence, harvest and season are given with the shape's facts,"
    " and the rest bears on plants, grounds and words alone."
)

MORE: tuple[Equivalent, ...] = (
    Equivalent(
        file=_AMOUNT,
        line="return abs(one - other) <= _NOISE * max(abs(one), abs(other))",
        faults=(
            ("_NOISE * max(abs(one), abs(other))", "_NOISE / max(abs(one), abs(other))"),
            ("max(abs(one), abs(other))", "min(abs(one), abs(other))"),
        ),
        proof="Each bound lies far above a sum's noise and far below what anybody enters.",
    ),
    Equivalent(
        file=_COLLECTING,
        line="why = next((_BY_STORE[lack.reason] for lack in lacking if lack.reason is not None),"
        " None)",
        faults=(
            (
                (
                    "next((_BY_STORE[lack.reason] for lack in lacking if lack.reason is not None),"
                    " None)"
                ),
                (
                    "next(reversed([*(_BY_STORE[lack.reason] for lack in lacking"
                    " if lack.reason is not None)]), None)"
                ),
            ),
        ),
        proof="All cans stand in one store, which is unknown or cold for every dose alike.",
    ),
    Equivalent(
        file=_COLLECTING,
        line="add_days(seal_on, -count) for seal_on, count in zip(deadlines, counted, strict=True)",
        faults=(("True", "False"),),
        proof=_SAME_LENGTH,
    ),
    Equivalent(
        file=_COLLECTING,
        line="zip([0.0, *filled[:-1]], filled, counted, deadlines, strict=True), start=1",
        faults=(("True", "False"),),
        proof=_SAME_LENGTH,
    ),
    Equivalent(
        file=_COLLECTING,
        line="for lack, litres in zip(lacks, reach, strict=True)",
        faults=(("True", "False"),),
        proof=_SAME_LENGTH,
    ),
    Equivalent(
        file=_COLLECTING,
        line="return days_to_fill(max(0.0, litres - means.filling_litres), means.litres_a_day)",
        faults=(
            (
                "max(0.0, litres - means.filling_litres)",
                "max(-1.0, litres - means.filling_litres)",
            ),
        ),
        proof="Less than nothing is collected in no day, as nothing is.",
    ),
    Equivalent(
        file=_COLLECTING,
        line="lacks[-1].seal_on,",
        faults=(("lacks[-1]", "lacks[0]"), ("-1", "-0")),
        proof="The last dose reaches into the last can, so that `next` finds one for every can.",
    ),
    Equivalent(
        file=_DOSE_DAY,
        line="if not isinstance(on, date):",
        faults=(("not isinstance(on, date)", "False"),),
        proof="Every rule that moves a dose gives a day; the line tells the type checker so.",
    ),
    Equivalent(
        file=_FERTILISER,
        line="return n_g / (n_g_per_litre * fertiliser_table().covered_share)",
        faults=(
            (
                "n_g_per_litre * fertiliser_table().covered_share",
                "n_g_per_litre / fertiliser_table().covered_share",
            ),
        ),
        proof="The table has urine that is covered replace all of its nitrogen, a share of 1.",
    ),
    Equivalent(
        file=_GROUNDS,
        line="first_on = min(touching)",
        faults=(("min(touching)", "max(touching)"),),
        proof="A spell that is left for the next turn reaches past the day found in this one.",
    ),
    Equivalent(
        file=_MEASURES,
        line="MeasureKind.CAN: own.can_litres or 0.0,",
        faults=(("own.can_litres or 0.0", "own.can_litres or -1.0"),),
        proof="Only sizes above nothing are kept.",
    ),
    Equivalent(
        file=_MEASURES,
        line="MeasureKind.BOTTLE: (own.bottle_ml or 0.0) / _ML_PER_LITRE,",
        faults=(("own.bottle_ml or 0.0", "own.bottle_ml or -1.0"),),
        proof="Only sizes above nothing are kept.",
    ),
    Equivalent(
        file=_MEASURES,
        line="MeasureKind.CUP: (own.cup_ml or 0.0) / _ML_PER_LITRE,",
        faults=(("own.cup_ml or 0.0", "own.cup_ml or -1.0"),),
        proof="Only sizes above nothing are kept.",
    ),
    Equivalent(
        file=_ORIGINS,
        line='return next(caution.origin for caution in cautions() if caution.id == "one-month")',
        faults=(
            (
                "next((caution.origin for caution in cautions() if caution.id == 'one-month'))",
                (
                    "next(reversed([*(caution.origin for caution in cautions()"
                    " if caution.id == 'one-month')]))"
                ),
            ),
        ),
        proof="A caution's id is its table's name, and a file has each table once.",
    ),
    Equivalent(
        file=_POUR,
        line="if chosen is None and span is None and ratio not in (0.0, least):",
        faults=(("(0.0, least)", "(-1.0, least)"),),
        proof="No water that was chosen counts as nothing chosen on the lines that follow.",
    ),
    Equivalent(
        file=_END,
        line="KEPT = 65_536",
        faults=(("65536", "65537"), ("65536", "65535")),
        proof="How many answers are kept bears on nothing but time.",
    ),
    Equivalent(
        file=_END,
        line="_A_DAY = date(2027, 1, 4)  # any day will do",
        faults=_ANY_DAY,
        proof="Days are added to it and counted from it, and nothing else is asked of it.",
    ),
    Equivalent(
        file=_SHAPE,
        line="_AN_AREA_M2 = 100.0",
        faults=(("100.0", "101.0"), ("100.0", "99.0")),
        proof="A shape holds no litres, and whether the cap leaves some over is the same for all.",
    ),
    Equivalent(
        file=_SHAPE,
        line="_A_LONG_SEASON_DAYS = 100_000",
        faults=(("100000", "100001"), ("100000", "99999")),
        proof="Two thirds of either lie far behind every cut-off that a season can have.",
    ),
    *(
        Equivalent(file=_SHAPE, line=line, faults=((old, one), (old, other)), proof=_NOT_READ)
        for line, old, one, other in (
            ("season_days=1,", "1", "2", "0"),
            ("emergence_days=0,", "0", "1", "-1"),
            ("first_harvest_days=1,", "1", "2", "0"),
            ("row_cm=1,", "1", "2", "0"),
            ("plant_cm=1,", "1", "2", "0"),
        )
    ),
    *(
        Equivalent(file=_SHAPE, line=line, faults=(("False", "True"),), proof=_NOT_READ)
        for line in (
            "picked_repeatedly=False,",
            "transplanted=False,",
            "needs_drained=False,",
            "eaten_raw=False,",
        )
    ),
    Equivalent(
        file=_SHAPE_PLAN,
        line="planted_on=date(2027, 1, 4),  # any day will do",
        faults=_ANY_DAY,
        proof="The warnings of an amount have no day, and no day is avoided or held.",
    ),
    Equivalent(
        file=_SHAPE_PLAN,
        line="area_m2=100,",
        faults=(("100", "101"), ("100", "99")),
        proof="An amount a square metre is warned of whatever the area.",
    ),
    Equivalent(
        file=_SHAPE_PLAN,
        line="season_days=100_000,",
        faults=(("100000", "100001"), ("100000", "99999")),
        proof="Every dose fits into either season.",
    ),
    Equivalent(
        file="service/planning/drafts.py",
        line="fields = voice_fields(phone, jobs[0].household_id)",
        faults=(("jobs[0]", "jobs[-1]"),),
        proof="Jobs of two homes come on a shared phone alone, whose digest names neither home's"
        " word nor substance.",
    ),
    Equivalent(
        file="service/planning/refresh.py",
        line="if [item.plan for item in again] == [item.plan for item in planned]:",
        faults=(("[item.plan for item in again] == [item.plan for item in planned]", "False"),),
        proof="Planning anew from the same facts changes nothing, so more passes end alike.",
    ),
    Equivalent(
        file="service/planning/refresh.py",
        line="if [item.plan for item in again] == [item.plan for item in planned]: break",
        faults=(("break", "pass"),),
        proof="Planning anew from the same facts changes nothing, so more passes end alike.",
    ),
    Equivalent(
        file="service/planning/refresh.py",
        line="MOST_PASSES = 12  # more than a season has doses",
        faults=(("12", "13"), ("12", "11")),
        proof="Each pass but the last closes a dose for good, and no plot has eleven to close.",
    ),
    Equivalent(
        file="service/planning/board_now.py",
        line="if len(stale) > MOST_BY_NAME:",
        faults=(("len(stale) > MOST_BY_NAME", "False"),),
        proof="The same rows are looked up, by name or not; only a database's limit differs.",
    ),
    Equivalent(
        file="service/planning/tick.py",
        line="if evening(day, 0, zone_of(row.zone)).closes_at <= now:",
        faults=(("evening(day, 0, zone_of(row.zone))", "evening(day, 1, zone_of(row.zone))"),),
        proof="An evening closes at 20:00, whatever minute it opens at.",
    ),
)
