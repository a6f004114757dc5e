"""A session of an invented car, as it comes from the library."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from knowngood.reporting.content import Subject
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Instruments,
    Opening,
    Reading,
    Role,
    SessionInfo,
    SourceKind,
    SpecValue,
    Standing,
    Unit,
    Vehicle,
)


def spec(field: str, printed: str, value: float | None = None, tolerance: float | None = None) -> SpecValue:
    return SpecValue(
        1,
        field,
        value,
        tolerance,
        printed,
        SourceKind.UNDER_HOOD_LABEL,
        "label on the lock carrier",
        "rev. B",
    )


VEHICLE = Vehicle(
    1,
    "Tarn",
    "Skerry",
    "1.6 petrol",
    2021,
    2023,
    specs={
        "refrigerant": (spec("refrigerant", "R-1234yf"),),
        "charge": (spec("charge", "470 ± 15 g", 0.470, 0.015),),
    },
)
CONDITIONS = Conditions(
    ambient_k=304.65,
    relative_humidity=0.48,
    altitude_m=240.0,
    air_source=AirSource.RECIRCULATION,
    doors=Opening.CLOSED,
    fan_stage=1,
)
INFO = SessionInfo(
    7,
    1,
    11,
    "as found",
    datetime(2026, 8, 14, 10, 42, tzinfo=UTC),
    "R-1234yf",
    CONDITIONS,
    Instruments(),
    750.0,
    7500,
    "skerry.csv",
    "ab12cd34ef56789",
    technician="K. Ødegård",
)


def known_good(number: int, unit_id: int, session_id: int | None = None) -> Reading:
    return Reading(
        number,
        1,
        unit_id,
        session_id,
        datetime(2026, 7, 1, tzinfo=UTC),
        CONDITIONS,
        750.0,
        1,
        {},
        Standing.KNOWN_GOOD,
    )


@pytest.fixture
def subject() -> Subject:
    return Subject(
        INFO,
        VEHICLE,
        Unit(11, 1, "SKR1X00TARN000014", "14"),
        frozenset({Role.LOW_SIDE, Role.HIGH_SIDE, Role.SUCTION_LINE, Role.ENGINE_SPEED}),
        (known_good(1, 21), known_good(2, 21), known_good(3, 22), known_good(4, 11, session_id=7)),
    )
