"""What may become known of the twins' association between one plan and the next."""

from datetime import date

from sqlalchemy import update

from service.agronomy.calendar import add_days
from service.agronomy.dosing import Season
from service.agronomy.regimes import Regime
from service.records.engine import Session
from service.records.fields import (
    ContainerRow,
    DoseRow,
    FactKind,
    HoldRow,
    PlantingFactRow,
    PlantingRow,
    PlotRow,
    Source,
)
from service.records.localities import AreaHoldRow, LocalValueRow, SeasonSpanRow
from tests.bench.life import OPENS_ON
from tests.unit.planning.twins import NOW, Change


def a_fact(kind: FactKind, planting_id: int, on: date, number: int | None = None) -> Change:
    def add(session: Session) -> None:
        session.add(
            PlantingFactRow(
                association_id=1,
                planting_id=planting_id,
                kind=kind,
                dose_number=number,
                on=on,
                source=Source.CALL,
                recorded_at=NOW,
            )
        )

    return add


def a_local_season(session: Session) -> None:
    session.add(
        LocalValueRow(
            association_id=1,
            crop="maize-grain",
            key="season-days",
            value="95",
            source="local seed",
            noted_by="x",
            recorded_at=NOW,
        )
    )


def a_banana_in_known_rains(session: Session) -> None:
    session.execute(update(PlantingRow).where(PlantingRow.id == 5).values(crop="banana"))
    session.add(
        SeasonSpanRow(
            association_id=1,
            season=Season.RAINS,
            first_on=add_days(OPENS_ON, 10),
            last_on=add_days(OPENS_ON, 80),
            noted_by="x",
            recorded_at=NOW,
        )
    )


def a_wet_week(session: Session) -> None:
    first_on = add_days(OPENS_ON, 30)
    session.add(
        AreaHoldRow(
            association_id=1,
            area_id=2,
            first_on=first_on,
            last_on=add_days(first_on, 6),
            noted_by="x",
            recorded_at=NOW,
        )
    )


def a_grower_s_rain(session: Session) -> None:
    session.add(
        HoldRow(
            association_id=1,
            planting_id=5,
            first_on=add_days(OPENS_ON, 40),
            last_on=add_days(OPENS_ON, 42),
            source=Source.TEXT,
            recorded_at=NOW,
        )
    )


def a_longer_pattern(session: Session) -> None:
    session.add(
        LocalValueRow(
            association_id=1,
            area_id=3,
            key="pattern",
            value="7,14,21,28,35,42,49,56",
            source="local advice",
            noted_by="x",
            recorded_at=NOW,
        )
    )


def other_eaters(session: Session) -> None:
    session.execute(
        update(PlantingRow).where(PlantingRow.id % 3 == 0).values(regime=Regime.SOLD_ANY)
    )


def small_cans(session: Session) -> None:
    session.execute(update(ContainerRow).values(litres=10.0))


def a_plot_at_risk(session: Session) -> None:
    session.execute(update(PlotRow).where(PlotRow.id % 5 == 0).values(hazards="well"))


def a_dose_told(session: Session) -> None:
    session.execute(
        update(DoseRow).where(DoseRow.planting_id == 3, DoseRow.number == 3).values(told=True)
    )
