"""The first tables: vehicles, sessions, the book of readings, the audit trail."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = ("knowngood",)
depends_on = None


def upgrade() -> None:
    op.create_table(
        "audit",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("at", sa.DateTime(), nullable=False),
        sa.Column("who", sa.Text(), nullable=False),
        sa.Column("table_name", sa.Text(), nullable=False, index=True),
        sa.Column("row_id", sa.Integer(), nullable=False, index=True),
        sa.Column("action", sa.Text(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=False),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("why", sa.Text(), nullable=False),
    )
    op.create_table(
        "import_mapping",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("signature", sa.Text(), nullable=False, unique=True),
        sa.Column("mapping", sa.JSON(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "maker",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("name", sa.Text(), nullable=False, unique=True),
        *_stamps(),
    )
    op.create_table(
        "source_file",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("sha256", sa.Text(), nullable=False, unique=True),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("size", sa.Integer(), nullable=False),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "system_family",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("maker_id", sa.Integer(), sa.ForeignKey("maker.id"), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        *_stamps(),
        sa.UniqueConstraint("maker_id", "name", name="uq_system_family"),
    )
    op.create_table(
        "configuration",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("maker_id", sa.Integer(), sa.ForeignKey("maker.id"), nullable=False, index=True),
        sa.Column("family_id", sa.Integer(), sa.ForeignKey("system_family.id"), index=True),
        sa.Column("make", sa.Text(), nullable=False),
        sa.Column("model", sa.Text(), nullable=False),
        sa.Column("engine", sa.Text(), nullable=False),
        sa.Column("year_from", sa.Integer(), nullable=False),
        sa.Column("year_to", sa.Integer()),
        sa.Column("market", sa.Text(), nullable=False),
        sa.Column("evaporators", sa.Text(), nullable=False),
        sa.Column("notes", sa.Text(), nullable=False),
        sa.Column("search_text", sa.Text(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "spec_value",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), nullable=False, index=True
        ),
        sa.Column("field", sa.Text(), nullable=False),
        sa.Column("value", sa.Float(53)),
        sa.Column("tolerance", sa.Float(53)),
        sa.Column("as_printed", sa.Text(), nullable=False),
        sa.Column("source_kind", sa.Text(), nullable=False),
        sa.Column("citation", sa.Text(), nullable=False),
        sa.Column("revision", sa.Text(), nullable=False),
        sa.Column("reviewed_by", sa.Text(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "unit",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), nullable=False, index=True
        ),
        sa.Column("vin", sa.Text(), nullable=False),
        sa.Column("fleet_number", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        *_stamps(),
    )
    op.create_table(
        "session",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), index=True),
        sa.Column("unit_id", sa.Integer(), sa.ForeignKey("unit.id"), index=True),
        sa.Column(
            "source_file_id", sa.Integer(), sa.ForeignKey("source_file.id"), nullable=False, index=True
        ),
        sa.Column("title", sa.Text(), nullable=False),
        sa.Column("started_at", sa.DateTime()),
        sa.Column("refrigerant", sa.Text(), nullable=False),
        sa.Column("instruments", sa.JSON(), nullable=False),
        sa.Column("duration_s", sa.Float(53), nullable=False),
        sa.Column("sample_count", sa.Integer(), nullable=False),
        sa.Column("technician", sa.Text(), nullable=False),
        sa.Column("note", sa.Text(), nullable=False),
        *_conditions(),
        *_stamps(),
    )
    op.create_table(
        "channel",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "session_id", sa.Integer(), sa.ForeignKey("session.id", ondelete="CASCADE"), nullable=False
        ),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("role", sa.Text(), nullable=False),
        sa.Column("unit", sa.Text(), nullable=False),
        sa.Column("gauge", sa.Boolean(), nullable=False),
        sa.Column("decimals", sa.Integer(), nullable=False),
        sa.UniqueConstraint("session_id", "position", name="uq_channel"),
    )
    op.create_table(
        "event",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "session_id",
            sa.Integer(),
            sa.ForeignKey("session.id", ondelete="CASCADE"),
            nullable=False,
            index=True,
        ),
        sa.Column("kind", sa.Text(), nullable=False),
        sa.Column("at_s", sa.Float(53), nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
    )
    op.create_table(
        "reading",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "configuration_id", sa.Integer(), sa.ForeignKey("configuration.id"), nullable=False, index=True
        ),
        sa.Column("unit_id", sa.Integer(), sa.ForeignKey("unit.id"), index=True),
        sa.Column("session_id", sa.Integer(), sa.ForeignKey("session.id"), index=True),
        sa.Column("taken_at", sa.DateTime(), nullable=False),
        sa.Column("engine_rpm", sa.Float(53)),
        sa.Column("fan_stage", sa.Integer()),
        sa.Column("standing", sa.Text(), nullable=False, index=True),
        sa.Column("decided_by", sa.Text(), nullable=False),
        sa.Column("decided_at", sa.DateTime()),
        sa.Column("decided_why", sa.Text(), nullable=False),
        *_conditions(),
        *_stamps(),
    )
    op.create_table(
        "response",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "session_id",
            sa.Integer(),
            sa.ForeignKey("session.id", ondelete="CASCADE"),
            nullable=False,
            index=True,
        ),
        sa.Column("from_rpm", sa.Float(53), nullable=False),
        sa.Column("to_rpm", sa.Float(53), nullable=False),
        sa.Column("low_pa", sa.Float(53), nullable=False),
        sa.Column("low_standard_uncertainty", sa.Float(53), nullable=False),
        sa.Column("high_pa", sa.Float(53), nullable=False),
        sa.Column("high_standard_uncertainty", sa.Float(53), nullable=False),
        sa.Column("low", sa.Text(), nullable=False),
        sa.Column("high", sa.Text(), nullable=False),
        sa.Column("same_fan_stage", sa.Boolean(), nullable=False),
        sa.Column("remark", sa.Text(), nullable=False),
    )
    op.create_table(
        "steady_window",
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column(
            "session_id",
            sa.Integer(),
            sa.ForeignKey("session.id", ondelete="CASCADE"),
            nullable=False,
            index=True,
        ),
        sa.Column("start_s", sa.Float(53), nullable=False),
        sa.Column("end_s", sa.Float(53), nullable=False),
        sa.Column("engine_rpm", sa.Float(53)),
        sa.Column("fan_stage", sa.Integer()),
        sa.Column("label", sa.Text(), nullable=False),
        sa.Column("by_hand", sa.Boolean(), nullable=False),
    )
    op.create_table(
        "channel_chunk",
        sa.Column(
            "channel_id", sa.Integer(), sa.ForeignKey("channel.id", ondelete="CASCADE"), primary_key=True
        ),
        sa.Column("number", sa.Integer(), primary_key=True),
        sa.Column("content", sa.LargeBinary(), nullable=False),
    )
    op.create_table(
        "reading_value",
        sa.Column(
            "reading_id", sa.Integer(), sa.ForeignKey("reading.id", ondelete="CASCADE"), primary_key=True
        ),
        sa.Column("quantity", sa.Text(), primary_key=True),
        sa.Column("value", sa.Float(53), nullable=False),
        sa.Column("standard_uncertainty", sa.Float(53), nullable=False),
    )
    op.create_table(
        "window_value",
        sa.Column(
            "window_id", sa.Integer(), sa.ForeignKey("steady_window.id", ondelete="CASCADE"), primary_key=True
        ),
        sa.Column("quantity", sa.Text(), primary_key=True),
        sa.Column("value", sa.Float(53), nullable=False),
        sa.Column("standard_uncertainty", sa.Float(53), nullable=False),
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


def _conditions() -> list[sa.Column[object]]:
    return [
        sa.Column("ambient_k", sa.Float(53)),
        sa.Column("intake_k", sa.Float(53)),
        sa.Column("relative_humidity", sa.Float(53)),
        sa.Column("barometer_pa", sa.Float(53)),
        sa.Column("altitude_m", sa.Float(53)),
        sa.Column("blower", sa.Float(53)),
        sa.Column("air_source", sa.Text()),
        sa.Column("doors", sa.Text()),
        sa.Column("hood", sa.Text()),
        sa.Column("sun", sa.Boolean()),
        sa.Column("start_fan_stage", sa.Integer()),
        sa.Column("run_time_s", sa.Float(53)),
    ]
