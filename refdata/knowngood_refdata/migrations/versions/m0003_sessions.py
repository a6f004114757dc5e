"""Sessions in depth: cuts, notes, windows set by hand, and everything that is found beyond values."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

EMPTY = sa.text("'{}'")
OCTAVES = ("low_per_octave", "high_per_octave")


def upgrade() -> None:
    # Written out, as Alembic adds no column with a reference on SQLite; both databases read it alike.
    op.execute("ALTER TABLE session ADD COLUMN parent_id INTEGER REFERENCES session (id)")
    op.create_index("ix_session_parent_id", "session", ["parent_id"])
    for name in ("from_s", "until_s"):
        op.add_column("session", sa.Column(name, sa.Float(53)))
    op.create_table(
        "annotation",
        sa.Column("id", sa.Integer(), primary_key=True),
        _session(),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("at_s", sa.Float(53), nullable=False),
        sa.Column("until_s", sa.Float(53)),
        sa.Column("text", sa.Text(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "hand_window",
        sa.Column("id", sa.Integer(), primary_key=True),
        _session(),
        sa.Column("start_s", sa.Float(53), nullable=False),
        sa.Column("end_s", sa.Float(53), nullable=False),
        sa.Column("label", sa.Text(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "session_finding",
        sa.Column(
            "session_id", sa.Integer(), sa.ForeignKey("session.id", ondelete="CASCADE"), primary_key=True
        ),
        sa.Column("stroke", sa.Text()),
        sa.Column("found", sa.JSON(), nullable=False),
    )
    op.add_column("steady_window", sa.Column("behaviour", sa.JSON(), nullable=False, server_default=EMPTY))
    op.execute("ALTER TABLE steady_window ADD COLUMN hand_window_id INTEGER REFERENCES hand_window (id)")
    op.create_index("ix_steady_window_hand_window_id", "steady_window", ["hand_window_id"])
    op.add_column("event", sa.Column("until_s", sa.Float(53)))
    op.add_column("event", sa.Column("evidence", sa.JSON(), nullable=False, server_default=EMPTY))
    for name in (*OCTAVES, *(f"{one}_standard_uncertainty" for one in OCTAVES)):
        op.add_column("response", sa.Column(name, sa.Float(53)))
    for name in ("from_at_s", "to_at_s"):
        op.add_column("response", sa.Column(name, sa.Float(53)))
    _keep_windows_set_by_hand()


def _keep_windows_set_by_hand() -> None:
    """Give each window that was set by hand its own row; who and when are those of its session."""
    op.execute(
        "INSERT INTO hand_window (session_id, start_s, end_s, label, version, created_at, created_by, "
        "changed_at, changed_by) SELECT DISTINCT w.session_id, w.start_s, w.end_s, w.label, 1, "
        "s.changed_at, s.changed_by, s.changed_at, s.changed_by "
        "FROM steady_window w JOIN session s ON s.id = w.session_id WHERE w.by_hand"
    )
    op.execute(
        "UPDATE steady_window SET hand_window_id = (SELECT min(h.id) FROM hand_window h "
        "WHERE h.session_id = steady_window.session_id AND h.start_s = steady_window.start_s "
        "AND h.end_s = steady_window.end_s AND h.label = steady_window.label) WHERE by_hand"
    )


def _session() -> sa.Column[int]:
    return sa.Column(
        "session_id",
        sa.Integer(),
        sa.ForeignKey("session.id", ondelete="CASCADE"),
        nullable=False,
        index=True,
    )


def _stamps() -> list[sa.Column[object]]:
    return [
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", sa.DateTime(), nullable=False),
        sa.Column("created_by", sa.Text(), nullable=False),
        sa.Column("changed_at", sa.DateTime(), nullable=False),
        sa.Column("changed_by", sa.Text(), nullable=False),
        sa.Column("deleted_at", sa.DateTime()),
    ]
