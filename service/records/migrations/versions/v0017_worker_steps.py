"""How many whole steps a process has done."""

import sqlalchemy as sa
from alembic import op

revision = "v0017"
down_revision = "v0016"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("worker", schema=None) as batch_op:
        batch_op.add_column(sa.Column("steps", sa.Integer(), nullable=False, server_default="0"))


def downgrade() -> None:
    with op.batch_alter_table("worker", schema=None) as batch_op:
        batch_op.drop_column("steps")
