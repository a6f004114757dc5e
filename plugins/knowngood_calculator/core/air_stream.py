"""Heat and water that a stream of air gives off on its way through a coil, and two streams mixed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_refdata.moist_air import (
    AIR_CP_J_KG_K,
    VAPOUR_CP_J_KG_K,
    WATER_CP_J_KG_K,
    MoistAir,
    mix,
)
from knowngood_refdata.quantities import ZERO_CELSIUS_K

if TYPE_CHECKING:
    from collections.abc import Iterator

MELTING_J_KG = 333_400.0
"""Heat that melts 1 kg of ice at 0 °C (IAPWS R10-06, from memory)."""

ICE_CP_J_KG_K = 2100.0

SAME_WATER = 1e-9
"""Humidity ratios that differ by less are the same but for rounding."""


@dataclass(frozen=True, slots=True)
class AirLoad:
    """What a stream of air gives off between two states; negative where it takes up instead.

    Attributes
    ----------
    dry_air_kg_s
        Flow of dry air [kg/s].
    sensible_w, latent_w, total_w
        Heat [W] by cooling, by condensing, and both together, what leaves with the water included.
    condensed_kg_s
        Water that drops out [kg/s].
    remarks
        What is wrong with the two states as those of a cooling coil, or good to know, in sentences.
    """

    dry_air_kg_s: float
    sensible_w: float
    latent_w: float
    total_w: float
    condensed_kg_s: float
    remarks: tuple[str, ...] = ()

    @property
    def sensible_share(self) -> float | None:
        """Sensible part of the total heat, 0 to 1; None when the air is not cooled in both ways."""
        if self.sensible_w < 0.0 or self.latent_w < 0.0 or self.total_w <= 0.0:
            return None
        return self.sensible_w / self.total_w


@dataclass(frozen=True, slots=True)
class MixedStream:
    """Two streams as one: its state, its flow of dry air [kg/s] and its volume flow [m³/s]."""

    air: MoistAir
    dry_air_kg_s: float
    volume_flow_m3_s: float


def air_load(inlet: MoistAir, outlet: MoistAir, volume_flow_m3_s: float) -> AirLoad:
    """Heat and water given off by air that enters as ``inlet`` with a volume flow [m³/s] and leaves so.

    m = V/v1, total = m (h1 - h2) - mw hw with mw = m (W1 - W2), the water leaving at the outlet's
    temperature (as frost below 0 °C); sensible = m (1006 + 1860 W1)(t1 - t2), latent = the rest. Steady
    flow, no heat from outside: ASHRAE Handbook, Fundamentals 2017, chapter 1, moist air cooling.
    Çengel and Boles, Thermodynamics, 5th edition, example 14-6: 10 m³/min from 30 °C and 80 % to saturated
    14 °C at 1 atm give off 511 kJ/min and 0.131 kg/min of water.

    Raises
    ------
    ValueError
        When the flow is not above zero.

    >>> from knowngood_refdata.moist_air import from_relative_humidity
    >>> inlet = from_relative_humidity(303.15, 0.8, 101_325.0)
    >>> load = air_load(inlet, from_relative_humidity(287.15, 1.0, 101_325.0), 10 / 60)
    >>> round(load.total_w * 60 / 1e3), round(load.condensed_kg_s * 60, 3)
    (511, 0.131)
    """
    dry_air = dry_air_kg_s(inlet, volume_flow_m3_s)
    condensed = dry_air * (inlet.humidity_ratio - outlet.humidity_ratio)
    water_w = condensed * _water_enthalpy_j_kg(outlet.dry_bulb_k)
    total = dry_air * (inlet.enthalpy_j_kg - outlet.enthalpy_j_kg) - water_w
    heat_capacity = AIR_CP_J_KG_K + VAPOUR_CP_J_KG_K * inlet.humidity_ratio
    sensible = dry_air * heat_capacity * (inlet.dry_bulb_k - outlet.dry_bulb_k)
    return AirLoad(dry_air, sensible, total - sensible, total, condensed, tuple(_remarks(inlet, outlet)))


def mixed_stream(
    first: MoistAir, first_flow_m3_s: float, second: MoistAir, second_flow_m3_s: float
) -> MixedStream:
    """Two streams, such as fresh and recirculated air, mixed; volume flows [m³/s] as each enters.

    Çengel and Boles, Thermodynamics, 5th edition, example 14-8: 50 m³/min saturated at 14 °C and 20 m³/min
    at 32 °C and 60 % become 70.1 m³/min at 19 °C and 89 % (read from a chart).

    Raises
    ------
    ValueError
        When a flow is not above zero, the pressures differ or the mixture would be fog.

    >>> from knowngood_refdata.moist_air import from_relative_humidity
    >>> cold = from_relative_humidity(287.15, 1.0, 101_325.0)
    >>> warm = from_relative_humidity(305.15, 0.6, 101_325.0)
    >>> mixed = mixed_stream(cold, 50 / 60, warm, 20 / 60)
    >>> round(mixed.volume_flow_m3_s * 60, 1), round(mixed.air.relative_humidity, 2)
    (70.0, 0.89)
    """
    first_kg_s = dry_air_kg_s(first, first_flow_m3_s)
    second_kg_s = dry_air_kg_s(second, second_flow_m3_s)
    total = first_kg_s + second_kg_s
    air = mix(first, second, first_kg_s / total)
    return MixedStream(air, total, total * air.specific_volume_m3_kg)


def dry_air_kg_s(air: MoistAir, volume_flow_m3_s: float) -> float:
    """Flow of dry air [kg/s] in a volume flow of moist air [m³/s]: V/v.

    Raises
    ------
    ValueError
        When the flow is not above zero.
    """
    if not volume_flow_m3_s > 0.0:
        raise ValueError("the air flow must be above zero")
    return volume_flow_m3_s / air.specific_volume_m3_kg


def _water_enthalpy_j_kg(temperature_k: float) -> float:
    """Of water that leaves a coil, zero for liquid at 0 °C; ice below that."""
    celsius = temperature_k - ZERO_CELSIUS_K
    return WATER_CP_J_KG_K * celsius if celsius >= 0.0 else ICE_CP_J_KG_K * celsius - MELTING_J_KG


def _remarks(inlet: MoistAir, outlet: MoistAir) -> Iterator[str]:
    gained = outlet.humidity_ratio - inlet.humidity_ratio
    if gained > SAME_WATER:
        yield (
            "the outlet holds more water than the inlet: air does not gain water by being cooled. Inlet and "
            "outlet are swapped, a humidity is wrong, or a wet evaporator dries off"
        )
    if outlet.dry_bulb_k > inlet.dry_bulb_k:
        yield "the outlet is warmer than the inlet: this air is heated, not cooled"
    if gained < -SAME_WATER and outlet.dew_point_k < ZERO_CELSIUS_K:
        yield (
            "the outlet's dew point lies below freezing: a surface that takes out so much water is colder "
            "still and would ice up; check the humidity"
        )
    if gained < -SAME_WATER and outlet.dry_bulb_k > inlet.dew_point_k:
        yield (
            "the outlet is warmer than the inlet's dew point and still drier: part of the air passed a "
            "colder surface, or was warmed again behind it"
        )
