"""The check-up: what was weighed, what further measurements answered, and what was found to be true."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None


def upgrade() -> None:
    _of_session("weighing", sa.Column("what", sa.Text(), nullable=False), *_mass())
    _of_session(
        "measurement_answer",
        sa.Column("measurement", sa.Text(), nullable=False),
        sa.Column("answer", sa.Text(), nullable=False),
    )
    _of_session(
        "confirmed_case",
        sa.Column("explanation", sa.Text(), nullable=False),
        sa.Column("how", sa.Text(), nullable=False),
    )


def _of_session(name: str, *columns: sa.Column[object]) -> None:
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "session_id",
            sa.Integer(),
            sa.ForeignKey("session.id", ondelete="CASCADE"),
            nullable=False,
            index=True,
        ),
        *columns,
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(), nullable=False),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("deleted_at", sa.DateTime()),
    )


def _mass() -> list[sa.Column[object]]:
    return [
        sa.Column("mass_kg", sa.Float(53), nullable=False),
        sa.Column("standard_uncertainty", sa.Float(53), nullable=False),
    ]
