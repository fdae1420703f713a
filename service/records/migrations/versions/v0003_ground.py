"""Tables of containers, plots and plantings."""

import sqlalchemy as sa
from alembic import op

revision = "v0003"
down_revision = "v0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "container",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("household_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.Column("litres", sa.Double(), nullable=False),
        sa.Column("longer_rest", sa.Boolean(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_container_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["household_id"], ["household.id"], name=op.f("fk_container_household_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_container")),
        sa.UniqueConstraint(
            "household_id", "number", name=op.f("uq_container_household_id_number")
        ),
    )
    with op.batch_alter_table("container", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_container_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_container_household_id"), ["household_id"], unique=False
        )
    op.create_table(
        "plot",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("household_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=16), nullable=False),
        sa.Column("letter", sa.String(length=1), nullable=True),
        sa.Column("area_m2", sa.Double(), nullable=False),
        sa.Column(
            "soil",
            sa.Enum(
                "normal",
                "salty",
                "dry",
                name="soil",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_plot_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["household_id"], ["household.id"], name=op.f("fk_plot_household_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plot")),
        sa.UniqueConstraint("household_id", "code", name=op.f("uq_plot_household_id_code")),
    )
    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_plot_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_plot_household_id"), ["household_id"], unique=False)
    op.create_table(
        "container_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("container_id", sa.Integer(), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "opened",
                "sealed",
                "refilled",
                "emptied",
                name="containereventkind",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
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
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_container_event_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["container_id"], ["container.id"], name=op.f("fk_container_event_container_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_container_event")),
    )
    with op.batch_alter_table("container_event", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_container_event_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_container_event_container_id"), ["container_id"], unique=False
        )
    op.create_table(
        "planting",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("plot_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=16), nullable=False),
        sa.Column("crop", sa.String(length=32), nullable=False),
        sa.Column("planted_on", sa.Date(), nullable=False),
        sa.Column(
            "season",
            sa.Enum(
                "rains", "dry", name="season", native_enum=False, create_constraint=True, length=24
            ),
            nullable=False,
        ),
        sa.Column("water_ratio", sa.Double(), nullable=False),
        sa.Column("litres_per_m2", sa.Double(), nullable=False),
        sa.Column("season_days", sa.Integer(), nullable=True),
        sa.Column("first_harvest_on", sa.Date(), nullable=True),
        sa.Column("transplanted", sa.Boolean(), nullable=True),
        sa.Column("closed_on", sa.Date(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_planting_association_id")
        ),
        sa.ForeignKeyConstraint(["plot_id"], ["plot.id"], name=op.f("fk_planting_plot_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_planting")),
        sa.UniqueConstraint("plot_id", "code", name=op.f("uq_planting_plot_id_code")),
    )
    with op.batch_alter_table("planting", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_planting_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_planting_plot_id"), ["plot_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("planting", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_planting_plot_id"))
        batch_op.drop_index(batch_op.f("ix_planting_association_id"))
    op.drop_table("planting")
    with op.batch_alter_table("container_event", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_container_event_container_id"))
        batch_op.drop_index(batch_op.f("ix_container_event_association_id"))
    op.drop_table("container_event")
    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_plot_household_id"))
        batch_op.drop_index(batch_op.f("ix_plot_association_id"))
    op.drop_table("plot")
    with op.batch_alter_table("container", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_container_household_id"))
        batch_op.drop_index(batch_op.f("ix_container_association_id"))
    op.drop_table("container")
