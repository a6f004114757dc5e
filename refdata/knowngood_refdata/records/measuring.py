"""How and with what something was measured: quantities, roles, instruments, conditions."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Role(StrEnum):
    """What a recorded channel measures."""

    LOW_SIDE = "low side"
    HIGH_SIDE = "high side"
    SUCTION_LINE = "suction line"
    LIQUID_LINE = "liquid line"
    DISCHARGE_LINE = "discharge line"
    VENT = "vent"
    AMBIENT = "ambient"
    INTAKE = "cabin intake"
    HUMIDITY = "relative humidity"
    ENGINE_SPEED = "engine speed"
    COOLANT = "coolant"
    FAN_COMMAND = "fan command"
    COMPRESSOR_COMMAND = "compressor command"
    BAROMETER = "barometer"
    OTHER = "other"


class Quantity(StrEnum):
    """A quantity of a steady point that is compared with known-good readings."""

    LOW_SIDE = "low side"
    HIGH_SIDE = "high side"
    SUPERHEAT = "superheat"
    SUBCOOLING = "subcooling"
    CONDENSING_ABOVE_AMBIENT = "condensing above ambient"
    EVAPORATING = "evaporating temperature"
    VENT = "vent temperature"


class AirSource(StrEnum):
    """Where the evaporator takes its air."""

    RECIRCULATION = "recirculation"
    FRESH = "fresh air"


class Opening(StrEnum):
    """State of doors, or of the hood (bonnet)."""

    OPEN = "open"
    CLOSED = "closed"


@dataclass(frozen=True, slots=True)
class Estimate:
    """A value with its standard uncertainty (k = 1), both in the SI unit of the quantity."""

    value: float
    standard_uncertainty: float


@dataclass(frozen=True, slots=True)
class PressureInstrument:
    """A gauge or transducer: accuracy class in percent of full scale, full scale in pascals."""

    class_percent: float
    full_scale_pa: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Thermometer:
    """A temperature probe: limit of error ``limit_k`` (plus or minus), clamp bias seen one-sidedly."""

    limit_k: float
    name: str = ""


@dataclass(frozen=True, slots=True)
class Instruments:
    """What a session was measured with. The defaults are common dial gauges and a type K probe."""

    low: PressureInstrument = PressureInstrument(1.6, 10e5, "dial gauge class 1.6, 10 bar")
    high: PressureInstrument = PressureInstrument(1.6, 35e5, "dial gauge class 1.6, 35 bar")
    line: Thermometer = Thermometer(2.5, "type K class 2")
    air: Thermometer = Thermometer(1.0, "air probe")


@dataclass(frozen=True, slots=True)
class Conditions:
    """How and where a test was run. ``None`` means not recorded, which is never taken as equal.

    ``barometer_pa`` is the local air pressure; when only an altitude is known the standard atmosphere
    gives it. ``fan_stage`` is the condenser fan's stage at the start of the session. ``blower`` is the
    fraction of full blower speed. ``run_time_s`` is how long the system ran before the recording.
    """

    ambient_k: float | None = None
    intake_k: float | None = None
    relative_humidity: float | None = None
    barometer_pa: float | None = None
    altitude_m: float | None = None
    blower: float | None = None
    air_source: AirSource | None = None
    doors: Opening | None = None
    hood: Opening | None = None
    sun: bool | None = None
    fan_stage: int | None = None
    run_time_s: float | None = None
