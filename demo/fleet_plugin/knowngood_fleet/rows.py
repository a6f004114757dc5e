"""The columns of the plugin's tables as the newest step leaves them, for its questions to the library."""

from __future__ import annotations

from sqlalchemy import Boolean, Column, Date, DateTime, Float, Integer, MetaData, Table, Text

_ALL = MetaData()


def _entered() -> tuple[Column[str], Column[object]]:
    return Column("entered_by", Text), Column("entered_at", DateTime(timezone=True))


UNIT = Table(
    "fleet_unit",
    _ALL,
    Column("unit_id", Integer, primary_key=True),
    Column("vehicle_id", Integer),
    Column("depot", Text),
    Column("body", Text),
    Column("usual_loss_kg", Float),
    *_entered(),
)
SERVICE = Table(
    "fleet_service",
    _ALL,
    Column("id", Integer, primary_key=True),
    Column("unit_id", Integer),
    Column("at", Date),
    Column("work", Text),
    Column("charged_kg", Float),
    Column("recovered_kg", Float),
    Column("limit_kg", Float),
    Column("left_share", Float),
    Column("repaired", Boolean),
    Column("note", Text),
    Column("struck_why", Text),
    *_entered(),
)
COUNTERS = Table(
    "fleet_counters",
    _ALL,
    Column("id", Integer, primary_key=True),
    Column("unit_id", Integer),
    Column("at", Date),
    Column("hours", Float),
    Column("odometer_km", Float),
    *_entered(),
)
DONE = Table(
    "fleet_done",
    _ALL,
    Column("id", Integer, primary_key=True),
    Column("unit_id", Integer),
    Column("check_name", Text),
    Column("at", Date),
    Column("hours", Float),
    Column("odometer_km", Float),
    Column("note", Text),
    *_entered(),
)
