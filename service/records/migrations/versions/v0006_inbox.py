"""Tables of what comes in, and whom to call."""

import sqlalchemy as sa
from alembic import op

revision = "v0006"
down_revision = "v0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "inbound",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("event_id", sa.String(length=120), nullable=False),
        sa.Column("phone_id", sa.Integer(), nullable=True),
        sa.Column("sender", sa.String(length=32), nullable=False),
        sa.Column("text", sa.String(length=1000), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("meaning", sa.String(length=24), nullable=False),
        sa.Column("hint", sa.String(length=40), nullable=False),
        sa.Column("to_read", sa.Boolean(), nullable=False),
        sa.Column("pauses", sa.Boolean(), nullable=False),
        sa.Column("plots", sa.String(length=16), nullable=False),
        sa.Column("read_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("read_by", sa.String(length=60), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_inbound_association_id")
        ),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_inbound_phone_id")),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_inbound_route_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_inbound")),
        sa.UniqueConstraint("route_id", "event_id", name=op.f("uq_inbound_route_id_event_id")),
    )
    with op.batch_alter_table("inbound", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_inbound_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_inbound_phone_id"), ["phone_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_inbound_sender"), ["sender"], unique=False)
    op.create_table(
        "orphan_receipt",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("event_id", sa.String(length=120), nullable=False),
        sa.Column("gateway_id", sa.String(length=80), nullable=False),
        sa.Column("state", sa.String(length=16), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("filed", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_orphan_receipt_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["route_id"], ["route.id"], name=op.f("fk_orphan_receipt_route_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_orphan_receipt")),
        sa.UniqueConstraint(
            "route_id", "event_id", name=op.f("uq_orphan_receipt_route_id_event_id")
        ),
    )
    with op.batch_alter_table("orphan_receipt", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_orphan_receipt_gateway_id"), ["gateway_id"], unique=False
        )
    op.create_table(
        "call_task",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("household_id", sa.Integer(), nullable=True),
        sa.Column("phone_id", sa.Integer(), nullable=True),
        sa.Column("dose_id", sa.Integer(), nullable=True),
        sa.Column("planting_id", sa.Integer(), nullable=True),
        sa.Column(
            "kind",
            sa.Enum(
                "silent",
                "not-ready",
                "not-told",
                "unknown",
                "emergence",
                "by-call",
                "no-room",
                "unread",
                "after-cutoff",
                "early-harvest",
                "second-report",
                "corrected",
                "burnt",
                "loop",
                "stopped",
                "enrol",
                name="taskkind",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("closed_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("outcome", sa.String(length=24), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_call_task_association_id")
        ),
        sa.ForeignKeyConstraint(["dose_id"], ["dose.id"], name=op.f("fk_call_task_dose_id")),
        sa.ForeignKeyConstraint(
            ["household_id"], ["household.id"], name=op.f("fk_call_task_household_id")
        ),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_call_task_phone_id")),
        sa.ForeignKeyConstraint(
            ["planting_id"], ["planting.id"], name=op.f("fk_call_task_planting_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_call_task")),
        sa.UniqueConstraint("association_id", "key", name=op.f("uq_call_task_association_id_key")),
    )
    with op.batch_alter_table("call_task", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_call_task_association_id"), ["association_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("call_task", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_call_task_association_id"))
    op.drop_table("call_task")
    with op.batch_alter_table("orphan_receipt", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_orphan_receipt_gateway_id"))
    op.drop_table("orphan_receipt")
    with op.batch_alter_table("inbound", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_inbound_sender"))
        batch_op.drop_index(batch_op.f("ix_inbound_phone_id"))
        batch_op.drop_index(batch_op.f("ix_inbound_association_id"))
    op.drop_table("inbound")
