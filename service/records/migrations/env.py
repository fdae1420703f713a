"""Alembic's entry: migrations run on the engine they are handed."""

from alembic import context

from service.records.base import Base
from service.records.clock_watch import ClockWatchRow
from service.records.fields import DoseRow
from service.records.localities import AreaHoldRow
from service.records.parked_texts import ParkedTextRow
from service.records.people import AssociationRow
from service.records.shares import PlanShareRow
from service.records.staff import StaffRow
from service.records.traffic import MessageRow
from service.records.ussd import UssdSessionRow
from service.records.wire import MessagePartRow
from service.records.workers import WorkerRow

# naming one table of each module makes sure that all of them are known
TABLES = (
    AreaHoldRow,
    AssociationRow,
    ClockWatchRow,
    DoseRow,
    MessagePartRow,
    MessageRow,
    ParkedTextRow,
    PlanShareRow,
    StaffRow,
    UssdSessionRow,
    WorkerRow,
)

engine = context.config.attributes["engine"]
with engine.connect() as connection:
    context.configure(
        connection=connection,
        target_metadata=Base.metadata,
        render_as_batch=connection.dialect.name == "sqlite",
        compare_type=True,
    )
    with context.begin_transaction():
        context.run_migrations()
    connection.commit()
