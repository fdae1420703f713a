"""What kind of water lies nearest to a plot."""

import sqlalchemy as sa
from alembic import op

revision = "v0009"
down_revision = "v0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.add_column(
            sa.Column(
                "water_kind",
                sa.Enum(
                    "stream",
                    "lake",
                    "well",
                    "supply",
                    "large-supply",
                    name="waterkind",
                    native_enum=False,
                    create_constraint=True,
                    length=24,
                ),
                nullable=True,
            )
        )


def downgrade() -> None:
    with op.batch_alter_table("plot", schema=None) as batch_op:
        batch_op.drop_constraint(batch_op.f("ck_plot_waterkind"), type_="check")
        batch_op.drop_column("water_kind")
