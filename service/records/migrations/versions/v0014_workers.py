"""Processes that say that they live."""

import sqlalchemy as sa
from alembic import op

revision = "v0014"
down_revision = "v0013"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "worker",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("place", sa.String(length=120), nullable=False),
        sa.Column(
            "kind",
            sa.Enum(
                "serve",
                "work",
                "web",
                name="workerkind",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("routes", sa.JSON(), nullable=False),
        sa.Column("started_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_worker")),
    )


def downgrade() -> None:
    op.drop_table("worker")
