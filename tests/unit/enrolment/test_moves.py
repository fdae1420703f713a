"""What a new plan changes is written down as plain values and read back the same."""

import json
from datetime import date

import pytest

from service.agronomy.changes import Change, ChangeKind
from service.agronomy.dose_days import DropReason, MoveReason
from service.enrolment.moves import Moved, read, written

BEFORE, AFTER = date(2027, 4, 11), date(2027, 4, 13)


@pytest.mark.parametrize(
    ("kind", "why"),
    [
        pytest.param(ChangeKind.MOVED, (MoveReason.GAP, MoveReason.HOLD), id="moved"),
        pytest.param(ChangeKind.DROPPED, (DropReason.HOLD,), id="dropped by a hold"),
        pytest.param(ChangeKind.DROPPED, (DropReason.AFTER_CUTOFF,), id="dropped at the end"),
        pytest.param(ChangeKind.BACK, (MoveReason.HOLD,), id="back, on another day"),
        pytest.param(ChangeKind.LITRES, (), id="another amount"),
    ],
)
def test_a_change_is_read_as_it_was_written(
    kind: ChangeKind, why: tuple[MoveReason | DropReason, ...]
) -> None:
    change = Change(
        number=4,
        kind=kind,
        before_on=BEFORE,
        after_on=AFTER,
        before_litres=20,
        after_litres=None,
        why=why,
    )
    moved = Moved(planting_id=7, change=change)

    assert read(json.loads(json.dumps(written(moved)))) == moved


def test_a_dose_that_a_plan_lacks_has_no_day() -> None:
    change = Change(
        number=8,
        kind=ChangeKind.GONE,
        before_on=BEFORE,
        after_on=None,
        before_litres=20,
        after_litres=None,
        why=(),
    )

    assert read(written(Moved(planting_id=7, change=change))).change == change


@pytest.mark.parametrize("values", [[], [1, 2, "moved"], ["x"] * 8])
def test_what_is_no_change_is_refused(values: list[object]) -> None:
    with pytest.raises(ValueError, match="no change of a dose"):
        read(values)
