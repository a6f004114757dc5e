"""Frozen records that leave the store: everything in SI, every name in the words of the trade.

Pressures are absolute pascals, temperatures kelvins, masses kilograms, times seconds, fractions 0 to 1.
Engine speed is the one exception: it stays in revolutions per minute, the unit of every instrument.
An ORM object never leaves the store; these do, and they can be passed between threads and plugins.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

NOTHING: Mapping[str, str] = MappingProxyType({})


class SourceKind(StrEnum):
    """Where a spec value comes from, the most trusted kind first: the label on the car beats the book."""

    UNDER_HOOD_LABEL = "under-hood label"
    BULLETIN = "bulletin"
    SERVICE_INFORMATION = "service information"
    MEASURED = "measured"
    GENERIC = "generic"


class Standing(StrEnum):
    """What a reading counts for: only *known-good* ones stand behind this shop's expected range.

    *Imported* ones were known-good where they come from; they stay apart until someone here decides.
    """

    CANDIDATE = "candidate"
    KNOWN_GOOD = "known-good"
    RETIRED = "retired"
    IMPORTED = "imported"


class CompressorKind(StrEnum):
    """How displacement is controlled."""

    FIXED = "fixed displacement"
    INTERNAL_VARIABLE = "internally controlled variable"
    EXTERNAL_VARIABLE = "externally controlled variable"
    ELECTRIC = "electric"


class MeteringDevice(StrEnum):
    """What drops the pressure ahead of the evaporator."""

    ORIFICE_TUBE = "orifice tube"
    EXPANSION_VALVE = "expansion valve"
    ELECTRONIC_VALVE = "electronic expansion valve"


class AirSource(StrEnum):
    """Where the evaporator takes its air."""

    RECIRCULATION = "recirculation"
    FRESH = "fresh air"


class Opening(StrEnum):
    """State of doors, or of the hood (bonnet)."""

    OPEN = "open"
    CLOSED = "closed"


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


class Verdict(StrEnum):
    """How one side answers a change of engine speed."""

    RISES = "rises"
    LEVEL = "stays level"
    FALLS = "falls"
    CANNOT_TELL = "cannot tell"


class EventKind(StrEnum):
    """What happened at one moment of a session."""

    FAN_STAGE_UP = "fan stage up"
    FAN_STAGE_DOWN = "fan stage down"
    ENGINE_SPEED_STEP = "engine speed step"
    COMPRESSOR_OFF_LINE = "compressor off line"
    COMPRESSOR_ON_LINE = "compressor on line"
    CLUTCH_CYCLING = "clutch cycling"
    VALVE_HUNTING = "expansion valve hunting"
    DOORS = "doors"
    BLOWER = "blower"
    AIR_SOURCE = "air source"
    NOTE = "note"


class Stroke(StrEnum):
    """How the compressor was working, as far as its answer to engine speed tells."""

    FULL = "at full stroke"
    REGULATING = "regulating"
    MINIMUM = "at minimum stroke"
    ELECTRIC = "not driven by the engine"
    CANNOT_TELL = "cannot tell"


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


@dataclass(frozen=True, slots=True)
class SpecValue:
    """One value of a vehicle's specification with everything needed to trust it.

    ``value`` is in SI when the field is a quantity and ``None`` when it is text; ``as_printed`` is the
    text of the source, unit included (``470 ± 15 g``).
    """

    id: int
    field: str
    value: float | None
    tolerance: float | None
    as_printed: str
    source_kind: SourceKind
    citation: str
    revision: str = ""
    entered_by: str = ""
    reviewed_by: str = ""
    page: str = ""
    entered_at: datetime | None = None
    reviewed_at: datetime | None = None
    version: int = 1


@dataclass(frozen=True, slots=True)
class SpecDecided:
    """Someone's decision which of several values of a field counts, with the reason."""

    field: str
    spec_id: int
    why: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class Vehicle:
    """A vehicle configuration: year range, make, model, engine, and its spec values.

    ``specs`` holds, for each field, every value on record: first the one that someone has decided for (see
    ``decided``), else the most trusted source. ``build_from`` and ``build_to`` are the months of a
    build-date split, both included (``2021-07``), empty without one; ``vin_pattern`` holds patterns separated
    by spaces.
    Field names are plain: ``refrigerant``, ``charge``, ``compressor``, ``metering device``, ``fan``,
    ``oil``, ``evaporators``.
    """

    id: int
    make: str
    model: str
    engine: str
    year_from: int
    year_to: int | None
    market: str = ""
    evaporators: str = ""
    maker: str = ""
    family: str = ""
    family_id: int | None = None
    notes: str = ""
    version: int = 1
    specs: Mapping[str, tuple[SpecValue, ...]] = field(default_factory=dict)
    build_from: str = ""
    build_to: str = ""
    generation: str = ""
    body: str = ""
    vin_pattern: str = ""
    decided: Mapping[str, SpecDecided] = field(default_factory=dict)

    @property
    def name(self) -> str:
        """The vehicle in one line: ``Tarn Skerry 1.6 petrol, 2021-23, single evaporator``."""
        if self.year_to is None:
            years = f"{self.year_from} on"
        elif self.year_to == self.year_from:
            years = f"{self.year_from}"
        else:
            years = f"{self.year_from}\N{EN DASH}{self.year_to % 100:02d}"
        head = " ".join(part for part in (self.make, self.model, self.engine) if part)
        return ", ".join(part for part in (head, years, self.market, self.evaporators) if part)

    def spec(self, name: str) -> SpecValue | None:
        """The most trusted value of a field, or None when the library holds none."""
        values = self.specs.get(name, ())
        return values[0] if values else None

    @property
    def refrigerant(self) -> str | None:
        """The refrigerant's designation, ``R-134a`` or ``R-1234yf``; None when not on record."""
        value = self.spec("refrigerant")
        return value.as_printed if value else None


@dataclass(frozen=True, slots=True)
class Unit:
    """One real car of a configuration."""

    id: int
    vehicle_id: int
    vin: str = ""
    fleet_number: str = ""
    note: str = ""
    version: int = 1


@dataclass(frozen=True, slots=True)
class SessionInfo:
    """A recorded session without its samples.

    Of a cut, ``parent_id`` is the session whose samples it shows, those from ``from_s`` to ``until_s`` on the
    parent's time axis, both included; its own times count from its first sample.
    """

    id: int
    vehicle_id: int | None
    unit_id: int | None
    title: str
    started_at: datetime | None
    refrigerant: str
    conditions: Conditions
    instruments: Instruments
    duration_s: float
    sample_count: int
    source_name: str
    source_sha256: str
    technician: str = ""
    note: str = ""
    version: int = 1
    parent_id: int | None = None
    from_s: float | None = None
    until_s: float | None = None


@dataclass(frozen=True, slots=True)
class Channel:
    """One recorded channel as the file gave it; ``values`` are in ``unit``, samples missing are NaN.

    ``gauge`` tells, for a pressure, whether the logger counted from the local air pressure; it is
    meaningless for other kinds. A mapping mistake is mended by changing role, unit or gauge: the
    samples stay as recorded.
    """

    name: str
    role: Role
    unit: str
    gauge: bool
    values: NDArray[np.float64]  # (n,)


@dataclass(frozen=True, slots=True)
class Recording:
    """The samples of a session: one time axis in seconds from the first sample, and its channels."""

    time_s: NDArray[np.float64]  # (n,), rising
    channels: tuple[Channel, ...]


@dataclass(frozen=True, slots=True)
class Behaviour:
    """How a quantity behaved in a steady window, in its SI unit.

    ``spread`` is the standard deviation of the samples about their trend, ``drift_per_s`` the trend with
    its standard error, ``independent`` how many independent samples the window is worth. ``amplitude`` is
    half the swing from peak to peak and ``period_s`` the time from peak to peak of a hunting; both None
    where there is none.
    """

    spread: float
    drift_per_s: Estimate
    independent: float
    amplitude: float | None = None
    period_s: float | None = None


@dataclass(frozen=True, slots=True)
class SteadyWindow:
    """A stretch in which the readings had settled, with the settled values.

    ``fan_stage`` is counted on from the conditions' stage through the fan events of the session, None
    when the stage at the start is not known. ``values`` holds one estimate a quantity; the standard
    uncertainty covers instrument and scatter. ``behaviour`` holds how each of them moved about its value.
    """

    start_s: float
    end_s: float
    engine_rpm: float | None
    fan_stage: int | None
    label: str
    values: Mapping[Quantity, Estimate]
    by_hand: bool = False
    id: int | None = None
    behaviour: Mapping[Quantity, Behaviour] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A stretch that is no steady window, with the reasons in words: ``high side still falls 9 psi/min``."""

    start_s: float
    end_s: float
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Evidence:
    """The samples that a finding comes from: a stretch of time, and the channels that were looked at."""

    from_s: float
    until_s: float
    channels: tuple[Role, ...]


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened in a session, in words for the plot and with its moment.

    ``until_s`` is the end of what lasts (clutch cycling, hunting), None for a moment. ``by_hand`` marks
    what a person noted; the program neither makes nor removes such an event.
    """

    kind: EventKind
    at_s: float
    text: str
    id: int | None = None
    until_s: float | None = None
    by_hand: bool = False
    evidence: Evidence | None = None


@dataclass(frozen=True, slots=True)
class Response:
    """The answer of both sides to engine speed between two steady windows.

    Changes are in pascals. ``same_fan_stage`` is False when the fan ran at another stage in the second
    window: then the change is not the engine speed's alone, and ``remark`` says so. ``low_per_octave`` and
    ``high_per_octave`` are the changes of the logarithm of the absolute pressure a doubling of the engine
    speed. ``from_at_s`` and ``to_at_s`` are the starts of the two windows.
    """

    from_rpm: float
    to_rpm: float
    low_pa: Estimate
    high_pa: Estimate
    low: Verdict
    high: Verdict
    same_fan_stage: bool
    remark: str = ""
    id: int | None = None
    low_per_octave: Estimate | None = None
    high_per_octave: Estimate | None = None
    from_at_s: float | None = None
    to_at_s: float | None = None


@dataclass(frozen=True, slots=True)
class FanThreshold:
    """The absolute high-side pressures at which the fan changes between two stages, over several steps.

    ``up_pa`` is where it goes to ``stage`` from the one below, ``down_pa`` where it leaves it again; None
    where that was not seen. The difference is the hysteresis. Standard uncertainties cover the scatter
    from step to step and the instrument. ``stage`` is None when the stage at the start is not known.
    """

    stage: int | None
    up_pa: Estimate | None
    down_pa: Estimate | None
    ups: int
    downs: int


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long the readings took to settle after a disturbance, up to the next steady window."""

    after: EventKind
    at_s: float
    seconds: float
    slowest: Role | None = None


@dataclass(frozen=True, slots=True)
class StrokeFinding:
    """How the compressor was working, with the evidence in sentences."""

    stroke: Stroke
    evidence: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Findings:
    """Everything that was found in one session."""

    windows: tuple[SteadyWindow, ...] = ()
    events: tuple[Event, ...] = ()
    responses: tuple[Response, ...] = ()
    unsettled: tuple[Unsettled, ...] = ()
    fan: tuple[FanThreshold, ...] = ()
    recoveries: tuple[Recovery, ...] = ()
    stroke: StrokeFinding | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """One steady point of one car with its conditions: the leaf of the book."""

    id: int
    vehicle_id: int
    unit_id: int | None
    session_id: int | None
    taken_at: datetime
    conditions: Conditions
    engine_rpm: float | None
    fan_stage: int | None
    values: Mapping[Quantity, Estimate]
    standing: Standing
    decided_by: str = ""
    decided_why: str = ""
    unit_name: str = ""
    version: int = 1


class Weighed(StrEnum):
    """What lay on the scale."""

    RECOVERED = "recovered"
    CHARGED = "charged"


@dataclass(frozen=True, slots=True)
class CaseFound:
    """The explanation of a session that was found to be true, how, and who says so."""

    session_id: int
    explanation: str
    how: str
    who: str
    at: datetime


@dataclass(frozen=True, slots=True)
class FoundOut:
    """What a person found out about a session beyond its log.

    ``weighings`` in kilograms; ``answers`` by the name of the measurement.
    """

    weighings: Mapping[Weighed, Estimate] = field(default_factory=dict)
    answers: Mapping[str, str] = field(default_factory=dict)
    case: CaseFound | None = None
