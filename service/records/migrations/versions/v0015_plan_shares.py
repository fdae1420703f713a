"""Shares of an association that planners divide among them."""

import sqlalchemy as sa
from alembic import op

revision = "v0015"
down_revision = "v0014"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plan_share",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("block", sa.Integer(), nullable=False),
        sa.Column("planned_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_plan_share_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_plan_share")),
        sa.UniqueConstraint(
            "association_id", "block", name=op.f("uq_plan_share_association_id_block")
        ),
    )


def downgrade() -> None:
    op.drop_table("plan_share")
