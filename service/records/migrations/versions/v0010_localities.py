"""What holds for a part of the ward, whose crop it is, and what the cans lack."""

import sqlalchemy as sa
from alembic import op

revision = "v0010"
down_revision = "v0009"
branch_labels = None
depends_on = None


def _words(name: str, *values: str) -> sa.Enum:
    return sa.Enum(*values, name=name, native_enum=False, create_constraint=True, length=24)


REGIMES = ("own-household", "general", "sold-processed", "sold-any")
CAN_EVENTS = ("opened", "sealed", "refilled", "emptied")
FACTS = (
    "sown",
    "emerged",
    "applied",
    "not-applied",
    "second-report",
    "not-ready",
    "harvested",
    "burnt",
)
TASKS = (
    "silent",
    "not-ready",
    "not-told",
    "unknown",
    "emergence",
    "by-call",
    "no-room",
    "unread",
    "after-cutoff",
    "early-harvest",
    "second-report",
    "corrected",
    "burnt",
    "loop",
    "stopped",
    "enrol",
)


def _allow(table: str, column: str, before: str, after: str, values: tuple[str, ...]) -> None:
    named = ", ".join(f"'{value}'" for value in values)
    with op.batch_alter_table(table) as batch_op:
        batch_op.drop_constraint(op.f(f"ck_{table}_{before}"), type_="check")
    with op.batch_alter_table(table) as batch_op:
        batch_op.create_check_constraint(op.f(f"ck_{table}_{after}"), f"{column} IN ({named})")


def _withdrawable() -> tuple[sa.Column[object], ...]:
    return (
        sa.Column("noted_by", sa.String(length=60), nullable=False),
        sa.Column("recorded_at", sa.DateTime(timezone=True), nullable=False),
        sa.Column("withdrawn_by", sa.String(length=60), nullable=True),
        sa.Column("withdrawn_at", sa.DateTime(timezone=True), nullable=True),
    )


def _place(table: str) -> tuple[sa.Column[object] | sa.ForeignKeyConstraint, ...]:
    return (
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("association_id", sa.Integer(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["association_id"], ["association.id"], name=op.f(f"fk_{table}_association_id")
        ),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f(f"fk_{table}_area_id")),
    )


def upgrade() -> None:
    op.create_table(
        "area_hold",
        *_place("area_hold"),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        *_withdrawable(),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_area_hold")),
    )
    op.create_index(op.f("ix_area_hold_association_id"), "area_hold", ["association_id"])
    op.create_table(
        "season_span",
        *_place("season_span"),
        sa.Column("season", _words("season", "rains", "dry"), nullable=False),
        sa.Column("first_on", sa.Date(), nullable=False),
        sa.Column("last_on", sa.Date(), nullable=False),
        *_withdrawable(),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_season_span")),
    )
    op.create_index(op.f("ix_season_span_association_id"), "season_span", ["association_id"])
    op.create_table(
        "local_value",
        *_place("local_value"),
        sa.Column("crop", sa.String(length=32), nullable=True),
        sa.Column("soil", sa.String(length=24), nullable=True),
        sa.Column("key", sa.String(length=24), nullable=False),
        sa.Column("value", sa.String(length=80), nullable=False),
        sa.Column("source", sa.String(length=200), nullable=False),
        *_withdrawable(),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_local_value")),
    )
    op.create_index("ix_local_value_association_key", "local_value", ["association_id", "key"])

    with op.batch_alter_table("area") as batch_op:
        batch_op.add_column(sa.Column("store_c", sa.Double(), nullable=True))
    with op.batch_alter_table("household") as batch_op:
        batch_op.add_column(sa.Column("bottle_ml", sa.Integer(), nullable=True))
        batch_op.add_column(
            sa.Column("collected_share", sa.Double(), nullable=False, server_default="1.0")
        )
        batch_op.add_column(sa.Column("avoid_weekday", sa.Integer(), nullable=True))
    with op.batch_alter_table("plot") as batch_op:
        batch_op.add_column(sa.Column("hazards", sa.String(length=60), nullable=True))
        batch_op.add_column(sa.Column("site_ok_by", sa.String(length=60), nullable=True))
        batch_op.add_column(sa.Column("site_ok_why", sa.String(length=200), nullable=True))
        batch_op.add_column(sa.Column("site_ok_at", sa.DateTime(timezone=True), nullable=True))
    with op.batch_alter_table("planting") as batch_op:
        batch_op.alter_column("water_ratio", existing_type=sa.Double(), nullable=True)
        batch_op.alter_column("litres_per_m2", existing_type=sa.Double(), nullable=True)
        batch_op.add_column(sa.Column("regime", _words("regime", *REGIMES), nullable=True))
    # what stood there was filled in by the rules, unless it differs from them
    op.execute("UPDATE planting SET litres_per_m2 = NULL WHERE litres_per_m2 = 1.5")
    op.execute("UPDATE planting SET water_ratio = NULL WHERE season = 'dry' AND water_ratio = 2")
    op.execute("UPDATE planting SET water_ratio = NULL WHERE season = 'rains' AND water_ratio = 0")
    with op.batch_alter_table("planting_fact") as batch_op:
        batch_op.add_column(sa.Column("litres", sa.Double(), nullable=True))
    with op.batch_alter_table("dose") as batch_op:
        batch_op.add_column(sa.Column("short_l", sa.Double(), nullable=False, server_default="0.0"))
    _allow("container_event", "kind", "containereventkind", "caneventkind", (*CAN_EVENTS, "leaked"))
    _allow(
        "planting_fact",
        "kind",
        "factkind",
        "factkind",
        (*FACTS, "go-on", "put-off", "resown", "failed", "elsewhere"),
    )
    _allow("call_task", "kind", "taskkind", "taskkind", (*TASKS, "short", "site", "held"))


def downgrade() -> None:
    _allow("call_task", "kind", "taskkind", "taskkind", TASKS)
    _allow("planting_fact", "kind", "factkind", "factkind", FACTS)
    _allow("container_event", "kind", "caneventkind", "containereventkind", CAN_EVENTS)
    with op.batch_alter_table("dose") as batch_op:
        batch_op.drop_column("short_l")
    with op.batch_alter_table("planting_fact") as batch_op:
        batch_op.drop_column("litres")
    op.execute("UPDATE planting SET litres_per_m2 = 1.5 WHERE litres_per_m2 IS NULL")
    op.execute("UPDATE planting SET water_ratio = 2 WHERE season = 'dry' AND water_ratio IS NULL")
    op.execute("UPDATE planting SET water_ratio = 0 WHERE water_ratio IS NULL")
    with op.batch_alter_table("planting") as batch_op:
        batch_op.drop_constraint(batch_op.f("ck_planting_regime"), type_="check")
        batch_op.drop_column("regime")
        batch_op.alter_column("litres_per_m2", existing_type=sa.Double(), nullable=False)
        batch_op.alter_column("water_ratio", existing_type=sa.Double(), nullable=False)
    with op.batch_alter_table("plot") as batch_op:
        batch_op.drop_column("site_ok_at")
        batch_op.drop_column("site_ok_why")
        batch_op.drop_column("site_ok_by")
        batch_op.drop_column("hazards")
    with op.batch_alter_table("household") as batch_op:
        batch_op.drop_column("avoid_weekday")
        batch_op.drop_column("collected_share")
        batch_op.drop_column("bottle_ml")
    with op.batch_alter_table("area") as batch_op:
        batch_op.drop_column("store_c")
    op.drop_table("local_value")
    op.drop_table("season_span")
    op.drop_table("area_hold")
