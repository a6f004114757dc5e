"""The plugin's own tables in the library, in two steps: what was entered stays when the plugin is off."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from alembic.operations import Operations

PREFIX = "fleet_"


def first_tables(op: Operations) -> None:
    """Step 1: units of the fleet, what was weighed, and what their counters showed."""
    from sqlalchemy import Column, Date, DateTime, Float, Integer, Text

    op.create_table(
        "fleet_unit",
        # A real car of the library; no foreign key, the library must stay free to rearrange its own tables.
        Column("unit_id", Integer, primary_key=True, autoincrement=False),
        Column("vehicle_id", Integer, nullable=False),
        Column("depot", Text, nullable=False),
        Column("body", Text, nullable=False),
        Column("usual_loss_kg", Float, nullable=False),
        Column("entered_by", Text, nullable=False),
        Column("entered_at", DateTime(timezone=True), nullable=False),
    )
    op.create_table(
        "fleet_service",
        Column("id", Integer, primary_key=True),
        Column("unit_id", Integer, nullable=False, index=True),
        Column("at", Date, nullable=False),
        Column("work", Text, nullable=False),
        Column("charged_kg", Float, nullable=False),
        Column("recovered_kg", Float),
        Column("limit_kg", Float, nullable=False),
        Column("left_share", Float, nullable=False),
        Column("note", Text, nullable=False),
        Column("struck_why", Text, nullable=False, server_default=""),
        Column("entered_by", Text, nullable=False),
        Column("entered_at", DateTime(timezone=True), nullable=False),
    )
    op.create_table(
        "fleet_counters",
        Column("id", Integer, primary_key=True),
        Column("unit_id", Integer, nullable=False, index=True),
        Column("at", Date, nullable=False),
        Column("hours", Float),
        Column("odometer_km", Float),
        Column("entered_by", Text, nullable=False),
        Column("entered_at", DateTime(timezone=True), nullable=False),
    )


def repairs_and_checks(op: Operations) -> None:
    """Step 2: whether a leak was repaired at a service, and the seasonal checks that were done."""
    from sqlalchemy import Boolean, Column, Date, DateTime, Float, Integer, Text, false

    op.add_column("fleet_service", Column("repaired", Boolean, nullable=False, server_default=false()))
    op.create_table(
        "fleet_done",
        Column("id", Integer, primary_key=True),
        Column("unit_id", Integer, nullable=False, index=True),
        Column("check_name", Text, nullable=False),
        Column("at", Date, nullable=False),
        Column("hours", Float),
        Column("odometer_km", Float),
        Column("note", Text, nullable=False),
        Column("entered_by", Text, nullable=False),
        Column("entered_at", DateTime(timezone=True), nullable=False),
    )
