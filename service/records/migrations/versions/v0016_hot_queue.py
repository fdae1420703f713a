"""Indexes and page layout for a queue that is sent fast, however much waits or was sent."""

import sqlalchemy as sa
from alembic import op

revision = "v0016"
down_revision = "v0015"
branch_labels = None
depends_on = None

QUEUED = sa.text("state = 'queued'")
UNKNOWN = sa.text("state = 'unknown'")
KNOWN = sa.text("gateway_id IS NOT NULL")


def upgrade() -> None:
    op.create_index(
        "ix_message_expiring",
        "message",
        ["association_id", "expires_at"],
        sqlite_where=QUEUED,
        postgresql_where=QUEUED,
    )
    op.create_index(
        "ix_message_unknown",
        "message",
        ["association_id", "id"],
        sqlite_where=UNKNOWN,
        postgresql_where=UNKNOWN,
    )
    op.drop_index("ix_message_gateway_id", table_name="message")
    op.create_index(
        "ix_message_gateway_id",
        "message",
        ["route_id", "gateway_id"],
        sqlite_where=KNOWN,
        postgresql_where=KNOWN,
    )
    if op.get_bind().dialect.name == "postgresql":
        # a text is rewritten twice within seconds: its new versions should lie beside the old
        op.execute(
            "ALTER TABLE message SET (fillfactor = 50, autovacuum_vacuum_scale_factor = 0.02)"
        )


def downgrade() -> None:
    if op.get_bind().dialect.name == "postgresql":
        op.execute("ALTER TABLE message RESET (fillfactor, autovacuum_vacuum_scale_factor)")
    op.drop_index("ix_message_gateway_id", table_name="message")
    op.create_index("ix_message_gateway_id", "message", ["route_id", "gateway_id"])
    op.drop_index("ix_message_unknown", table_name="message")
    op.drop_index("ix_message_expiring", table_name="message")
