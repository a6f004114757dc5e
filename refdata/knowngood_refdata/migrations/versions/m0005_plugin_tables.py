"""The tables that plugins made for themselves: which step each plugin's tables stand at."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "plugin_schema",
        sa.Column("plugin", sa.Text(), primary_key=True),
        sa.Column("step", sa.Integer(), primary_key=True, autoincrement=False),
        sa.Column("prefix", sa.Text(), nullable=False),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
    )
