"""Who noted a fact, how ground was measured, what became of a call."""

import sqlalchemy as sa
from alembic import op

revision = "v0008"
down_revision = "v0007"
branch_labels = None
depends_on = None


BEFORE = ("text", "call", "import", "service")
AFTER = ("text", "call", "form", "import", "service")
WITH_SOURCE = ("container_event", "planting_fact", "hold")


def _allow(sources: tuple[str, ...]) -> None:
    named = ", ".join(f"'{source}'" for source in sources)
    for table in WITH_SOURCE:
        name = op.f(f"ck_{table}_source")
        with op.batch_alter_table(table) as batch_op:
            batch_op.drop_constraint(name, type_="check")
        with op.batch_alter_table(table) as batch_op:
            batch_op.create_check_constraint(name, f"source IN ({named})")


def upgrade() -> None:
    _allow(AFTER)
    with op.batch_alter_table("call_task", schema=None) as batch_op:
        batch_op.add_column(sa.Column("inbound_id", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("closed_by", sa.String(length=60), nullable=True))
        batch_op.add_column(sa.Column("tries", sa.Integer(), nullable=False, server_default="0"))
        batch_op.add_column(sa.Column("rests_until", sa.Date(), nullable=True))
        batch_op.create_foreign_key(
            batch_op.f("fk_call_task_inbound_id"), "inbound", ["inbound_id"], ["id"]
        )

    with op.batch_alter_table("container_event", schema=None) as batch_op:
        batch_op.add_column(sa.Column("noted_by", sa.String(length=60), nullable=True))

    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.add_column(sa.Column("noted_by", sa.String(length=60), nullable=True))

    with op.batch_alter_table("inbound", schema=None) as batch_op:
        batch_op.add_column(sa.Column("read_as", sa.String(length=40), nullable=True))

    with op.batch_alter_table("planting", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("drained", sa.Boolean(), nullable=False, server_default=sa.false())
        )
        batch_op.add_column(sa.Column("row_cm", sa.Double(), nullable=True))
        batch_op.add_column(sa.Column("plant_cm", sa.Double(), nullable=True))

    with op.batch_alter_table("planting_fact", schema=None) as batch_op:
        batch_op.add_column(sa.Column("noted_by", sa.String(length=60), nullable=True))

    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column("measured", sa.String(length=60), nullable=False, server_default="")
        )
        batch_op.add_column(
            sa.Column(
                "texture",
                sa.Enum(
                    "sandy",
                    "loam",
                    "clay",
                    name="texture",
                    native_enum=False,
                    create_constraint=True,
                    length=24,
                ),
                nullable=True,
            )
        )
        batch_op.add_column(sa.Column("water_m", sa.Double(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("ck_plot_texture"), type_="check")
        batch_op.drop_column("water_m")
        batch_op.drop_column("texture")
        batch_op.drop_column("measured")

    with op.batch_alter_table("planting_fact", schema=None) as batch_op:
        batch_op.drop_column("noted_by")

    with op.batch_alter_table("planting", schema=None) as batch_op:
        batch_op.drop_column("plant_cm")
        batch_op.drop_column("row_cm")
        batch_op.drop_column("drained")

    with op.batch_alter_table("inbound", schema=None) as batch_op:
        batch_op.drop_column("read_as")

    with op.batch_alter_table("hold", schema=None) as batch_op:
        batch_op.drop_column("noted_by")

    with op.batch_alter_table("container_event", schema=None) as batch_op:
        batch_op.drop_column("noted_by")

    with op.batch_alter_table("call_task", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("fk_call_task_inbound_id"), type_="foreignkey")
        batch_op.drop_column("rests_until")
        batch_op.drop_column("tries")
        batch_op.drop_column("closed_by")
        batch_op.drop_column("inbound_id")

    _allow(BEFORE)
