"""Tables of phones, and what was said about consent."""

import sqlalchemy as sa
from alembic import op

revision = "v0002"
down_revision = "v0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "pretend_clock",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("now", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pretend_clock")),
    )
    op.create_table(
        "phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("number", sa.String(length=16), nullable=False),
        sa.Column("typed", sa.String(length=32), nullable=False),
        sa.Column("language", sa.String(length=12), nullable=False),
        sa.Column("muted_until", sa.DateTime(timezone=True), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_phone_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_phone")),
        sa.UniqueConstraint(
            "association_id", "number", name=op.f("uq_phone_association_id_number")
        ),
    )
    with op.batch_alter_table("phone", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_phone_association_id"), ["association_id"], unique=False
        )
    op.create_table(
        "consent_event",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("phone_id", sa.Integer(), nullable=False),
        sa.Column("household_id", sa.Integer(), nullable=True),
        sa.Column(
            "kind",
            sa.Enum(
                "verbal",
                "given",
                "refused",
                "stopped",
                name="consent",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("on", sa.Date(), nullable=False),
        sa.Column("asked_by", sa.String(length=60), nullable=False),
        sa.Column("wording", sa.String(length=400), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_consent_event_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["household_id"], ["household.id"], name=op.f("fk_consent_event_household_id")
        ),
        sa.ForeignKeyConstraint(["phone_id"], ["phone.id"], name=op.f("fk_consent_event_phone_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_consent_event")),
        sa.UniqueConstraint(
            "association_id", "key", name=op.f("uq_consent_event_association_id_key")
        ),
    )
    with op.batch_alter_table("consent_event", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_consent_event_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_consent_event_phone_id"), ["phone_id"], unique=False)
    op.create_table(
        "household_phone",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("household_id", sa.Integer(), nullable=False),
        sa.Column("phone_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_household_phone_association_id")
        ),
        sa.ForeignKeyConstraint(
            ["household_id"], ["household.id"], name=op.f("fk_household_phone_household_id")
        ),
        sa.ForeignKeyConstraint(
            ["phone_id"], ["phone.id"], name=op.f("fk_household_phone_phone_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_household_phone")),
        sa.UniqueConstraint(
            "household_id", "phone_id", name=op.f("uq_household_phone_household_id_phone_id")
        ),
    )
    with op.batch_alter_table("household_phone", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_household_phone_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(
            batch_op.f("ix_household_phone_household_id"), ["household_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_household_phone_phone_id"), ["phone_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("household_phone", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_household_phone_phone_id"))
        batch_op.drop_index(batch_op.f("ix_household_phone_household_id"))
        batch_op.drop_index(batch_op.f("ix_household_phone_association_id"))
    op.drop_table("household_phone")
    with op.batch_alter_table("consent_event", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_consent_event_phone_id"))
        batch_op.drop_index(batch_op.f("ix_consent_event_association_id"))
    op.drop_table("consent_event")
    with op.batch_alter_table("phone", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_phone_association_id"))
    op.drop_table("phone")
    op.drop_table("pretend_clock")
