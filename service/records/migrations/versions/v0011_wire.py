"""The parts of long texts, the days of a route, and the switch that stops one."""

import sqlalchemy as sa
from alembic import op

revision = "v0011"
down_revision = "v0010"
branch_labels = None
depends_on = None

STATES = (
    "queued",
    "claimed",
    "submitted",
    "delivered",
    "failed",
    "expired",
    "unknown",
    "cancelled",
)


def _own(table: str) -> tuple[sa.Column[object] | sa.ForeignKeyConstraint, ...]:
    return (
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f(f"fk_{table}_association_id")
        ),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f(f"fk_{table}_route_id")),
    )


def upgrade() -> None:
    op.create_table(
        "message_part",
        *_own("message_part"),
        sa.Column("message_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("gateway_id", sa.String(length=80), nullable=False),
        sa.Column(
            "state",
            sa.Enum(*STATES, name="state", native_enum=False, create_constraint=True, length=24),
            nullable=False,
        ),
        sa.ForeignKeyConstraint(
            ["message_id"], ["message.id"], name=op.f("fk_message_part_message_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message_part")),
        sa.UniqueConstraint("message_id", "number", name=op.f("uq_message_part_message_id_number")),
    )
    op.create_index("ix_message_part_gateway_id", "message_part", ["route_id", "gateway_id"])
    op.create_table(
        "inbound_part",
        *_own("inbound_part"),
        sa.Column("event_id", sa.String(length=120), nullable=False),
        sa.Column("sender", sa.String(length=32), nullable=False),
        sa.Column("to", sa.String(length=32), nullable=False),
        sa.Column("reference", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("total", sa.Integer(), nullable=False),
        sa.Column("text", sa.String(length=200), nullable=False),
        sa.Column("lossy", sa.Boolean(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("joined", sa.Boolean(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbound_part")),
        sa.UniqueConstraint("route_id", "event_id", name=op.f("uq_inbound_part_route_id_event_id")),
    )
    op.create_index("ix_inbound_part_waiting", "inbound_part", ["route_id", "sender", "reference"])
    op.create_table(
        "route_day",
        *_own("route_day"),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("segments", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_route_day")),
        sa.UniqueConstraint("route_id", "day", name=op.f("uq_route_day_route_id_day")),
    )
    with op.batch_alter_table("route") as batch_op:
        batch_op.add_column(sa.Column("prefixes", sa.JSON(), nullable=False, server_default="[]"))
        batch_op.add_column(sa.Column("cost", sa.Double(), nullable=False, server_default="0.0"))
        batch_op.add_column(sa.Column("daily_segments", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("retired", sa.Boolean(), nullable=False, server_default="0"))
        batch_op.add_column(sa.Column("stopped_at", sa.DateTime(timezone=True), nullable=True))
        batch_op.add_column(sa.Column("stopped_by", sa.String(length=60), nullable=True))
        batch_op.add_column(sa.Column("refusals", sa.Integer(), nullable=False, server_default="0"))
    with op.batch_alter_table("association") as batch_op:
        batch_op.add_column(sa.Column("monthly_segments", sa.Integer(), nullable=True))
    with op.batch_alter_table("message") as batch_op:
        batch_op.add_column(sa.Column("asks", sa.Integer(), nullable=False, server_default="0"))


def downgrade() -> None:
    with op.batch_alter_table("message") as batch_op:
        batch_op.drop_column("asks")
    with op.batch_alter_table("association") as batch_op:
        batch_op.drop_column("monthly_segments")
    with op.batch_alter_table("route") as batch_op:
        for column in (
            "refusals",
            "stopped_by",
            "stopped_at",
            "retired",
            "daily_segments",
            "cost",
            "prefixes",
        ):
            batch_op.drop_column(column)
    op.drop_table("route_day")
    op.drop_table("inbound_part")
    op.drop_table("message_part")
