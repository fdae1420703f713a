"""The calculator's answer for programs."""

import json
from datetime import date

from service.agronomy.dosing import ml_per_plant
from service.agronomy.reasons import Explanation
from service.cli.plan_answer import PlanAnswer

_DECIMALS = 3


def plan_json(answer: PlanAnswer, why: Explanation | None = None) -> str:
    """Return the answer as JSON: litres and grams to 3 decimals, dates as `2027-03-15`.

    With reasons, `why` lists every step; its values are not rounded, so that sums can be redone.
    """
    found = _answered(answer)
    if why is not None:
        found["why"] = _reasons(why)
    return json.dumps(found, indent=2, ensure_ascii=False)


def _answered(answer: PlanAnswer) -> dict[str, object]:
    request, plan = answer.request, answer.plan
    return {
        "crop": request.crop.id,
        "planted_on": request.planted_on.isoformat(),
        "emerged_on": plan.emergence_on.isoformat(),
        "emergence_assumed": plan.emergence_assumed,
        "season_days": plan.season_days,
        "first_harvest_on": plan.first_harvest_on.isoformat(),
        "cutoff_on": plan.cutoff_on.isoformat(),
        "cutoff_rule": plan.cutoff_rule.value,
        "doses": [
            {
                "number": dose.number,
                "due_on": dose.due_on.isoformat(),
                "urine_l": round(dose.litres, _DECIMALS),
                "water_l": round(dose.water_litres, _DECIMALS),
                "urine_ml_per_plant": round(
                    ml_per_plant(request.crop, litres=dose.litres, area_m2=request.area_m2),
                    _DECIMALS,
                ),
            }
            for dose in plan.doses
        ],
        "dropped": [
            {
                "number": dose.number,
                "due_on": dose.due_on.isoformat(),
                "reason": dose.reason.value,
            }
            for dose in plan.dropped
        ],
        "containers": [
            {"sealed_on": can.sealed_on.isoformat(), "ready_on": can.ready_on.isoformat()}
            for can in answer.cans
        ],
        "total_urine_l": round(answer.urine_litres, _DECIMALS),
        "litres_per_m2": round(answer.litres_per_m2, _DECIMALS),
        "n_kg_per_ha": round(answer.n_kg_per_ha, _DECIMALS),
        "shortfall_l": round(plan.shortfall_litres, _DECIMALS),
        "earliest_harvest_on": (
            answer.earliest_harvest_on.isoformat() if answer.earliest_harvest_on else None
        ),
        "warnings": list(answer.warnings),
        "cautions": list(answer.cautions),
    }


def _reasons(why: Explanation) -> list[dict[str, object]]:
    return [
        {
            "subject": subject.key,
            "rule": reason.rule.value,
            "values": {
                name: value.isoformat() if isinstance(value, date) else value
                for name, value in reason.values.items()
            },
            "source": None if reason.origin is None else reason.origin.source,
            "found": "told" if reason.origin is None else reason.origin.found.value,
        }
        for subject, reason in why.steps()
    ]
