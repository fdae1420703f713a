"""What a walked association has entered for its areas, on days that no test looks at."""

from datetime import date

from service.agronomy.changes import Change, ChangeKind
from service.agronomy.dose_days import DropReason, MoveReason
from service.agronomy.dosing import Season
from service.agronomy.local import LocalKey, LocalValue
from service.agronomy.watering import SeasonSpan
from service.enrolment.moves import Moved, written
from service.records.locality_acts import (
    Noted,
    add_area_hold,
    add_local_value,
    add_season_span,
    withdraw_area_hold,
)
from service.records.locality_lists import HOLD
from service.records.people import AuditRow
from service.records.tasks import audit
from tests.world import World

PLANTING_ID = 1
FIRST, LAST = date(2028, 6, 1), date(2028, 6, 3)


def ward_told(world: World, *, association_id: int = 1, area_id: int = 1) -> None:
    """Enter holds, one withdrawn, a season and a figure that change no plan."""
    noted = Noted(who="Neema Test", at=world.clock())
    figure = LocalValue(
        key=LocalKey.SEASON_DAYS,
        value="200",
        source="a trial of the farm school",
        area_id=area_id,
        crop="cassava",
    )
    with world.services.sessions.begin() as session:
        for place in (area_id, None):
            add_area_hold(
                session,
                association_id,
                area_id=place,
                first_on=FIRST,
                last_on=LAST,
                noted=noted,
            )
        audit(session, association_id, _moves(world, hold_id=1))
        gone = add_area_hold(
            session, association_id, area_id=area_id, first_on=FIRST, last_on=LAST, noted=noted
        )
        withdraw_area_hold(session, association_id, gone.id, noted=noted)
        span = SeasonSpan(season=Season.DRY, first_on=FIRST, last_on=LAST)
        add_season_span(session, association_id, area_id=area_id, span=span, noted=noted)
        add_local_value(session, association_id, figure, noted=noted)


def _moves(world: World, *, hold_id: int) -> AuditRow:
    moved = [
        Moved(
            planting_id=PLANTING_ID,
            change=Change(
                number=number,
                kind=kind,
                before_on=FIRST,
                after_on=LAST,
                before_litres=20,
                after_litres=18.5,
                why=(MoveReason.HOLD,) if kind is ChangeKind.MOVED else (DropReason.HOLD,),
            ),
        )
        for number, kind in enumerate(ChangeKind, start=1)
    ]
    return AuditRow(
        at=world.clock(),
        who="Neema Test",
        what="entered",
        subject=HOLD,
        subject_id=hold_id,
        origin="form",
        detail={"before": None, "after": {}, "moved": [written(each) for each in moved]},
    )
