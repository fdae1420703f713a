"""Sessions of the USSD menu, and what came by it."""

import sqlalchemy as sa
from alembic import op

revision = "v0012"
down_revision = "v0011"
branch_labels = None
depends_on = None


BEFORE = ("text", "call", "form", "import", "service")
AFTER = ("text", "menu", "call", "form", "import", "service")
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
    op.create_table(
        "ussd_session",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("route_id", sa.Integer(), nullable=False),
        sa.Column("session", sa.String(length=80), nullable=False),
        sa.Column("number", sa.String(length=32), nullable=False),
        sa.Column("state", sa.JSON(), nullable=False),
        sa.Column("shown", sa.JSON(), nullable=False),
        sa.Column("finished", sa.Boolean(), nullable=False),
        sa.Column("expires_at", sa.DateTime(timezone=True), nullable=False),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f("fk_ussd_session_association_id")
        ),
        sa.ForeignKeyConstraint(["route_id"], ["route.id"], name=op.f("fk_ussd_session_route_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ussd_session")),
        sa.UniqueConstraint("route_id", "session", name=op.f("uq_ussd_session_route_id_session")),
    )
    op.create_index(op.f("ix_ussd_session_association_id"), "ussd_session", ["association_id"])
    op.create_index("ix_ussd_session_number", "ussd_session", ["route_id", "number"])
    with op.batch_alter_table("inbound") as batch_op:
        batch_op.add_column(sa.Column("by_menu", sa.Boolean(), nullable=False, server_default="0"))


def downgrade() -> None:
    with op.batch_alter_table("inbound") as batch_op:
        batch_op.drop_column("by_menu")
    op.drop_table("ussd_session")
    for table in WITH_SOURCE:
        source: sa.ColumnClause[str] = sa.column("source")
        told = sa.update(sa.table(table, source)).where(source == "menu")
        op.execute(told.values(source="text"))
    _allow(BEFORE)
