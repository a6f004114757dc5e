"""What a simulated car is made of, what is wrong with it, and what surrounds it. All in SI."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_refdata.records import CompressorKind, MeteringDevice


@dataclass(frozen=True, slots=True)
class CompressorDesign:
    """A compressor and its control.

    ``air_off_k`` is the evaporator's air temperature that an external control holds, or that a clutch
    cycles about; ``milder_k`` is by how much the control raises it away from idle. The internal control
    holds ``suction_pa`` at 10 bar of discharge pressure and lower above. ``own_rpm`` is the top speed of
    an electric compressor.
    """

    kind: CompressorKind
    displacement_m3: float = 160e-6
    pulley_ratio: float = 1.3
    air_off_k: float = 277.15
    milder_k: float = 0.0
    suction_pa: float = 295_000.0
    own_rpm: float = 6_500.0


@dataclass(frozen=True, slots=True)
class FanDesign:
    """A two-stage condenser fan: air flow of each stage, and what brings the second stage on and off."""

    stage_kg_per_s: tuple[float, float] = (0.45, 0.80)
    on_pa: float = 1_750_000.0
    off_pa: float = 1_300_000.0
    coolant_on_k: float = 371.15
    coolant_off_k: float = 365.15
    voltage_gain: float = 0.0


@dataclass(frozen=True, slots=True)
class LoopDesign:
    """A car's A/C loop; its volumes follow from the charge on the label, see `inventory`.

    ``*_ua`` are conductances in W/K, rated at 0.6 kg/s of condenser air. ``suction_drop_pa`` is the drop
    from evaporator to compressor at 0.05 kg/s. ``bypass`` is the evaporator's share of untouched air.
    ``tightness`` scales what must be filled before the receiver holds any reserve.
    """

    refrigerant: str
    label_kg: float
    compressor: CompressorDesign
    metering: MeteringDevice = MeteringDevice.EXPANSION_VALVE
    fan: FanDesign = FanDesign()
    condenser_ua: float = 1_500.0
    condenser_air_ua: float = 560.0
    subcooler_ua: float = 30.0
    evaporator_ua: float = 1_100.0
    evaporator_air_kg_per_s: float = 0.13
    bypass: float = 0.12
    valve_area_m2: float = 1.6e-6
    orifice_area_m2: float = 0.93e-6
    static_superheat_k: float = 2.0
    tightness: float = 1.0
    suction_drop_pa: float = 20_000.0


@dataclass(frozen=True, slots=True)
class Faults:
    """What is wrong: shares of the healthy value, 1 being healthy.

    ``charge`` counts from the weight on the label, ``compressor`` is the share of the delivered volume,
    ``liquid_line`` the free share of the valve's full opening, ``air_kg`` the air in the system.
    """

    charge: float = 1.0
    condenser_air: float = 1.0
    evaporator_air: float = 1.0
    compressor: float = 1.0
    liquid_line: float = 1.0
    air_kg: float = 0.0


HEALTHY = Faults()


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Air at the condenser and at the evaporator; ``blower`` is the fraction of its full speed."""

    ambient_k: float = 303.15
    intake_k: float = 300.15
    relative_humidity: float = 0.5
    barometer_pa: float = STANDARD_ATMOSPHERE_PA
    blower: float = 1.0
    engine_bay_above_k: float = 25.0
