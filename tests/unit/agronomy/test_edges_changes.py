"""How far litres must differ for a plan to have changed."""

from dataclasses import replace
from datetime import date

import pytest

from service.agronomy.changes import ChangeKind, changes
from service.agronomy.crops import crop
from service.agronomy.season import SeasonFacts, plan_season
from service.agronomy.season_plan import SeasonPlan

PLAN = plan_season(SeasonFacts(crop=crop("maize-grain"), planted_on=date(2027, 3, 15), area_m2=100))


def first_dose_of(litres: float) -> SeasonPlan:
    first, *others = PLAN.doses
    return replace(PLAN, doses=(replace(first, litres=litres), *others))


@pytest.mark.parametrize(
    ("before", "after", "kinds"),
    [
        pytest.param(0.0, 0.05, [ChangeKind.LITRES], id="half a decilitre"),
        pytest.param(21.0, 21.5, [ChangeKind.LITRES], id="half a litre"),
        pytest.param(21.0, 21.04, [], id="the noise of shares"),
    ],
)
def test_litres_have_changed_from_half_a_decilitre_on(
    before: float, after: float, kinds: list[ChangeKind]
) -> None:
    found = changes(first_dose_of(before), first_dose_of(after))

    assert [change.kind for change in found] == kinds
    assert [(change.before_litres, change.after_litres) for change in found] == [
        (before, after) for _ in kinds
    ]
