"""Tables of the association, its areas and households."""

import sqlalchemy as sa
from alembic import op

revision = "v0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "association",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=32), nullable=False),
        sa.Column("name", sa.String(length=18), nullable=False),
        sa.Column("zone", sa.String(length=64), nullable=False),
        sa.Column("country", sa.String(length=2), nullable=False),
        sa.Column("language", sa.String(length=12), nullable=False),
        sa.Column("phone", sa.String(length=16), nullable=False),
        sa.Column("cost", sa.String(length=24), nullable=False),
        sa.Column("store_c", sa.Double(), nullable=True),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_association")),
        sa.UniqueConstraint("code", name=op.f("uq_association_code")),
    )
    op.create_table(
        "area",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=16), nullable=False),
        sa.Column("name", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_area_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_area")),
        sa.UniqueConstraint("association_id", "code", name=op.f("uq_area_association_id_code")),
    )
    with op.batch_alter_table("area", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_area_association_id"), ["association_id"], unique=False
        )
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("who", sa.String(length=60), nullable=False),
        sa.Column("what", sa.String(length=40), nullable=False),
        sa.Column("subject", sa.String(length=40), nullable=False),
        sa.Column("subject_id", sa.Integer(), nullable=False),
        sa.Column("origin", sa.String(length=24), nullable=False),
        sa.Column("detail", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_audit_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_audit_association_id"), ["association_id"], unique=False
        )
    op.create_table(
        "import_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("added", sa.Integer(), nullable=False),
        sa.Column("changed", sa.Integer(), nullable=False),
        sa.Column("unchanged", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_import_run_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_import_run")),
    )
    with op.batch_alter_table("import_run", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_import_run_association_id"), ["association_id"], unique=False
        )
    op.create_table(
        "household",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(length=16), nullable=False),
        sa.Column("alias", sa.String(length=60), nullable=False),
        sa.Column("label", sa.String(length=8), nullable=False),
        sa.Column("adults", sa.Integer(), nullable=False),
        sa.Column("children", sa.Integer(), nullable=False),
        sa.Column(
            "regime",
            sa.Enum(
                "own-household",
                "general",
                "sold-processed",
                "sold-any",
                name="regime",
                native_enum=False,
                create_constraint=True,
                length=24,
            ),
            nullable=False,
        ),
        sa.Column("language", sa.String(length=12), nullable=False),
        sa.Column("word", sa.String(length=12), nullable=True),
        sa.Column("discreet", sa.Boolean(), nullable=False),
        sa.Column("remind_minute", sa.Integer(), nullable=False),
        sa.Column("needs_call", sa.Boolean(), nullable=False),
        sa.Column("cup_ml", sa.Integer(), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_household_area_id")),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_household_association_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_household")),
        sa.UniqueConstraint(
            "association_id", "code", name=op.f("uq_household_association_id_code")
        ),
    )
    with op.batch_alter_table("household", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_household_association_id"), ["association_id"], unique=False
        )


def downgrade() -> None:
    with op.batch_alter_table("household", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_household_association_id"))
    op.drop_table("household")
    with op.batch_alter_table("import_run", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_import_run_association_id"))
    op.drop_table("import_run")
    with op.batch_alter_table("audit", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_audit_association_id"))
    op.drop_table("audit")
    with op.batch_alter_table("area", schema=None) as batch_op:
        batch_op.drop_index(batch_op.f("ix_area_association_id"))
    op.drop_table("area")
    op.drop_table("association")
