"""Tables of facts, doses and holds."""

import sqlalchemy as sa
from alembic import op

revision = "v0004"
down_revision = "v0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "dose",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("planting_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.Column("closes_on", sa.Date(), nullable=False),
        sa.Column("urine_l", sa.Double(), nullable=False),
        sa.Column("water_l", sa.Double(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "planned",
                "done",
                "not-done",
                "not-known",
                "dropped",
                name="dosestate",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("reason", sa.String(length=24), nullable=True),
        sa.Column("told", sa.Boolean(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_dose_association_id")
        ),
        sa.ForeignKeyConstraint(["planting_id"], ["planting.id"], name=op.f("fk_dose_planting_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_dose")),
        sa.UniqueConstraint("planting_id", "number", name=op.f("uq_dose_planting_id_number")),
    )
    with op.batch_alter_table("dose", schema=None) as batch_op:
        batch_op.create_index(
            "ix_dose_association_state_due", ["association_id", "state", "due_on"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_dose_planting_id"), ["planting_id"], unique=False)
    op.create_table(
        "hold",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("planting_id", sa.Integer(), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        sa.Column(
            "source",
            sa.Enum(
                "text",
                "call",
                "import",
                "service",
                name="source",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_hold_association_id")
        ),
        sa.ForeignKeyConstraint(["planting_id"], ["planting.id"], name=op.f("fk_hold_planting_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hold")),
        sa.UniqueConstraint("planting_id", "first_on", name=op.f("uq_hold_planting_id_first_on")),
    )
    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_hold_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_hold_planting_id"), ["planting_id"], unique=False)
    op.create_table(
        "planting_fact",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("planting_id", sa.Integer(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "sown",
                "emerged",
                "applied",
                "not-applied",
                "second-report",
                "not-ready",
                "harvested",
                "burnt",
                name="factkind",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("dose_number", sa.Integer(), nullable=True),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column(
            "source",
            sa.Enum(
                "text",
                "call",
                "import",
                "service",
                name="source",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column(
            "flag",
            sa.Enum(
                "after-cutoff",
                "not-ready",
                "dropped",
                "too-early",
                name="flag",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=True,
        ),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_planting_fact_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["planting_id"], ["planting.id"], name=op.f("fk_planting_fact_planting_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planting_fact")),
    )
    with op.batch_alter_table("planting_fact", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_planting_fact_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_planting_fact_planting_id"), ["planting_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("planting_fact", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_planting_fact_planting_id"))
        batch_op.drop_index(batch_op.f("ix_planting_fact_association_id"))
    op.drop_table("planting_fact")
    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_hold_planting_id"))
        batch_op.drop_index(batch_op.f("ix_hold_association_id"))
    op.drop_table("hold")
    with op.batch_alter_table("dose", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_dose_planting_id"))
        batch_op.drop_index("ix_dose_association_state_due")
    op.drop_table("dose")
