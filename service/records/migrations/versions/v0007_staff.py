"""Tables of the staff and their way in."""

import sqlalchemy as sa
from alembic import op

revision = "v0007"
down_revision = "v0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=80), nullable=False),
        sa.Column("failures", sa.Integer(), nullable=False),
        sa.Column("wait_until", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_try")),
        sa.UniqueConstraint("key", name=op.f("uq_sign_in_try_key")),
    )
    op.create_table(
        "staff",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(length=40), nullable=False),
        sa.Column("shown", sa.String(length=60), nullable=False),
        sa.Column(
            "role",
            sa.Enum(
                "coordinator",
                "admin",
                name="role",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("language", sa.String(length=12), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=True),
        sa.Column("totp_sealed", sa.String(length=300), nullable=True),
        sa.Column("totp_step", sa.Integer(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("removed_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_staff_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff")),
        sa.UniqueConstraint("name", name=op.f("uq_staff_name")),
    )
    with op.batch_alter_table("staff", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_staff_association_id"), ["association_id"], unique=False
        )

    op.create_table(
        "form_post",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("location", sa.String(length=200), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_form_post_association_id")
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_form_post_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_form_post")),
        sa.UniqueConstraint("association_id", "key", name=op.f("uq_form_post_association_id_key")),
    )
    with op.batch_alter_table("form_post", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_form_post_association_id"), ["association_id"], unique=False
        )

    op.create_table(
        "staff_code",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("code_hash", sa.String(length=64), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_staff_code_association_id")
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_staff_code_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff_code")),
        sa.UniqueConstraint("staff_id", "code_hash", name=op.f("uq_staff_code_staff_id_code_hash")),
    )
    with op.batch_alter_table("staff_code", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_staff_code_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_staff_code_staff_id"), ["staff_id"], unique=False)

    op.create_table(
        "staff_link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("used_at", sa.DateTime(timezone=True), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_staff_link_association_id")
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_staff_link_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff_link")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_staff_link_token_hash")),
    )
    with op.batch_alter_table("staff_link", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_staff_link_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_staff_link_staff_id"), ["staff_id"], unique=False)

    op.create_table(
        "staff_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("staff_id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(length=64), nullable=False),
        sa.Column("opened_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("seen_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("ended_at", sa.DateTime(timezone=True), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_staff_session_association_id")
        ),
        sa.ForeignKeyConstraint(["staff_id"], ["staff.id"], name=op.f("fk_staff_session_staff_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_staff_session")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_staff_session_token_hash")),
    )
    with op.batch_alter_table("staff_session", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_staff_session_association_id"), ["association_id"], unique=False
        )
        batch_op.create_index(batch_op.f("ix_staff_session_staff_id"), ["staff_id"], unique=False)


def downgrade() -> None:
    with op.batch_alter_table("staff_session", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_staff_session_staff_id"))
        batch_op.drop_index(batch_op.f("ix_staff_session_association_id"))

    op.drop_table("staff_session")
    with op.batch_alter_table("staff_link", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_staff_link_staff_id"))
        batch_op.drop_index(batch_op.f("ix_staff_link_association_id"))

    op.drop_table("staff_link")
    with op.batch_alter_table("staff_code", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_staff_code_staff_id"))
        batch_op.drop_index(batch_op.f("ix_staff_code_association_id"))

    op.drop_table("staff_code")
    with op.batch_alter_table("form_post", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_form_post_association_id"))

    op.drop_table("form_post")
    with op.batch_alter_table("staff", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_staff_association_id"))

    op.drop_table("staff")
    op.drop_table("sign_in_try")
