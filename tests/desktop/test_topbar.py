"""What stands in the top bar."""

from __future__ import annotations

from datetime import UTC, datetime

from knowngood.scales import System
from knowngood.topbar import charge_source, session_line, spec_line, weather_line
from knowngood.units import Units
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    Instruments,
    SessionInfo,
    SourceKind,
    SpecValue,
    Vehicle,
)


def session(started_at: datetime | None) -> SessionInfo:
    return SessionInfo(
        1, 1, None, "Cools poorly", started_at, "R-1234yf", Conditions(), Instruments(), 60.0, 61, "a.csv", ""
    )


def spec(field: str, printed: str, kind: SourceKind = SourceKind.UNDER_HOOD_LABEL) -> tuple[SpecValue, ...]:
    return (SpecValue(1, field, None, None, printed, kind, "section 82", "rev. B"),)


def test_a_session_is_named_with_the_day_and_time_of_its_recording() -> None:
    assert (
        session_line(session(datetime(2025, 8, 3, 10, 42, tzinfo=UTC))) == "Cools poorly, 3 Aug 2025, 10:42"
    )


def test_a_session_of_unknown_date_is_named_alone() -> None:
    assert session_line(session(None)) == "Cools poorly"


def test_the_short_line_leaves_out_how_the_car_was_set() -> None:
    conditions = Conditions(ambient_k=304.65, relative_humidity=0.48, air_source=AirSource.RECIRCULATION)
    assert weather_line(conditions, Units(System.SI)) == "31.5 °C, 48 % RH"


def test_conditions_without_weather_are_not_called_recorded() -> None:
    conditions = Conditions(air_source=AirSource.FRESH)
    assert weather_line(conditions, Units(System.SI)) == "conditions not recorded"


def test_the_line_below_the_vehicle_gives_charge_source_compressor_metering_and_fan() -> None:
    vehicle = Vehicle(
        1, "Tarn", "Skerry", "1.6", 2021, 2023,
        specs={
            "refrigerant": spec("refrigerant", "R-1234yf"),
            "charge": spec("charge", "470 ± 15 g"),
            "compressor": spec("compressor", "externally controlled variable"),
            "metering device": spec("metering device", "expansion valve"),
            "fan": spec("fan", "two-stage fan"),
            "oil": spec("oil", "PAG 46"),
        },
    )  # fmt: skip
    parts = [one.strip() for one in spec_line(vehicle).split("\N{MIDDLE DOT}")]
    assert parts == [
        "R-1234yf  470 ± 15 g (under-hood label)",
        "externally controlled variable",
        "expansion valve",
        "two-stage fan",
    ]
    assert charge_source(vehicle) == "Charge 470 ± 15 g: under-hood label, section 82, revision rev. B"
