"""Tables of routes and what goes out."""

import sqlalchemy as sa
from alembic import op

revision = "v0005"
down_revision = "v0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "route",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=32), nullable=False),
        sa.Column("adapter", sa.String(length=32), nullable=False),
        sa.Column("sender", sa.String(length=16), nullable=False),
        sa.Column("rate_per_s", sa.Double(), nullable=False),
        sa.Column("tokens", sa.Double(), nullable=False),
        sa.Column("tokens_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("paused_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("paused_for", sa.String(length=80), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_route_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_route")),
        sa.UniqueConstraint("association_id", "name", name=op.f("uq_route_association_id_name")),
    )
    with op.batch_alter_table("route", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_route_association_id"), ["association_id"], unique=False
        )
    op.create_table(
        "claim",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("messages", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_claim_association_id")
        ),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_claim_route_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_claim")),
    )
    with op.batch_alter_table("claim", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_claim_expires_at"), ["expires_at"], unique=False)
    op.create_table(
        "message",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("phone_id", sa.Integer(), nullable=True),
        sa.Column("number", sa.String(length=16), nullable=False),
        sa.Column("kind", sa.String(length=24), nullable=False),
        sa.Column("evening", sa.Date(), nullable=True),
        sa.Column("due_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("dedupe_key", sa.String(length=200), nullable=False),
        sa.Column("language", sa.String(length=12), nullable=False),
        sa.Column("fields", sa.JSON(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "queued",
                "claimed",
                "submitted",
                "delivered",
                "failed",
                "expired",
                "unknown",
                "cancelled",
                name="state",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("token", sa.String(length=40), nullable=True),
        sa.Column("body", sa.String(length=700), nullable=True),
        sa.Column("segments", sa.Integer(), nullable=True),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("gateway_id", sa.String(length=80), nullable=True),
        sa.Column("changed_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_message_association_id")
        ),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_message_phone_id")),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_message_route_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message")),
        sa.UniqueConstraint(
            "association_id", "dedupe_key", name=op.f("uq_message_association_id_dedupe_key")
        ),
        sa.UniqueConstraint("token", name=op.f("uq_message_token")),
    )
    with op.batch_alter_table("message", schema=None) as batch_op:
        batch_op.create_index("ix_message_gateway_id", ["route_id", "gateway_id"], unique=False)
        batch_op.create_index("ix_message_phone_evening", ["phone_id", "evening"], unique=False)
        batch_op.create_index(
            "ix_message_queued",
            ["route_id", "due_at", "id"],
            unique=False,
            sqlite_where=sa.text("state = 'queued'"),
            postgresql_where=sa.text("state = 'queued'"),
        )
    op.create_table(
        "message_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("event", sa.String(length=24), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "queued",
                "claimed",
                "submitted",
                "delivered",
                "failed",
                "expired",
                "unknown",
                "cancelled",
                name="state",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("detail", sa.String(length=80), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_message_event_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["message_id"], ["message.id"], name=op.f("fk_message_event_message_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message_event")),
    )
    with op.batch_alter_table("message_event", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_message_event_message_id"), ["message_id"], unique=False
        )
    op.create_table(
        "message_dose",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.Integer(), nullable=False),
        sa.Column("dose_id", sa.Integer(), nullable=False),
        sa.Column("revision", sa.Integer(), nullable=False),
        sa.Column("due_on", sa.Date(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_message_dose_association_id")
        ),
        sa.ForeignKeyConstraint(["dose_id"], ["dose.id"], name=op.f("fk_message_dose_dose_id")),
        sa.ForeignKeyConstraint(
            ["message_id"], ["message.id"], name=op.f("fk_message_dose_message_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_message_dose")),
    )
    with op.batch_alter_table("message_dose", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_message_dose_dose_id"), ["dose_id"], unique=False)
        batch_op.create_index(
            batch_op.f("ix_message_dose_message_id"), ["message_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("message_dose", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_message_dose_message_id"))
        batch_op.drop_index(batch_op.f("ix_message_dose_dose_id"))
    op.drop_table("message_dose")
    with op.batch_alter_table("message_event", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_message_event_message_id"))
    op.drop_table("message_event")
    with op.batch_alter_table("message", schema=None) as batch_op:
        batch_op.drop_index(
            "ix_message_queued",
            sqlite_where=sa.text("state = 'queued'"),
            postgresql_where=sa.text("state = 'queued'"),
        )
        batch_op.drop_index("ix_message_phone_evening")
        batch_op.drop_index("ix_message_gateway_id")
    op.drop_table("message")
    with op.batch_alter_table("claim", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_claim_expires_at"))
    op.drop_table("claim")
    with op.batch_alter_table("route", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_route_association_id"))
    op.drop_table("route")
