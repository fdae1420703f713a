"""The last trusted instant of the machine's clock, and the texts that wait while it is in doubt."""

import sqlalchemy as sa
from alembic import op

revision = "v0013"
down_revision = "v0012"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "clock_watch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("trusted_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("doubted_at", sa.DateTime(timezone=True), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_clock_watch")),
    )
    op.create_table(
        "parked_text",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("event_id", sa.String(length=120), nullable=False),
        sa.Column("sender", sa.String(length=32), nullable=False),
        sa.Column("to", sa.String(length=32), nullable=False),
        sa.Column("text", sa.String(length=2000), nullable=False),
        sa.Column("lossy", sa.Boolean(), nullable=False),
        sa.Column("received_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_parked_text_association_id")
        ),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_parked_text_route_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_parked_text")),
        sa.UniqueConstraint("route_id", "event_id", name=op.f("uq_parked_text_route_id_event_id")),
    )


def downgrade() -> None:
    op.drop_table("parked_text")
    op.drop_table("clock_watch")
