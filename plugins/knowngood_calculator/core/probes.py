"""Classes of temperature probes whose limit of error depends on the temperature that they read."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.records import Thermometer

ICE_POINT_K = 273.15


@dataclass(frozen=True, slots=True)
class ProbeClass:
    """A class of a standard: how far a probe may be wrong at a temperature.

    Attributes
    ----------
    floor_k
        Limit near 0 °C [K].
    per_degree
        Limit for each degree Celsius away from 0 °C [K/°C].
    added
        Whether the two are added, as for resistance probes, or the larger holds, as for thermocouples.
    coldest_c, warmest_c
        Where the class holds [°C].
    """

    name: str
    floor_k: float
    per_degree: float = 0.0
    added: bool = False
    coldest_c: float = -40.0
    warmest_c: float = 350.0

    def limit_k(self, temperature_k: float) -> float:
        """Limit of error [K] at a temperature [K]: the floor, and the slope times |t| in degrees Celsius.

        >>> PROBE_CLASSES[0].limit_k(273.15 + 400.0)
        3.0
        """
        grown = self.per_degree * abs(temperature_k - ICE_POINT_K)
        return self.floor_k + grown if self.added else max(self.floor_k, grown)

    def at(self, temperature_k: float) -> Thermometer:
        """The probe as it is when it reads a temperature [K].

        Raises
        ------
        ValueError
            When the class does not hold at this temperature.

        >>> round(next(one for one in PROBE_CLASSES if one.name == "Pt100, class B").at(323.15).limit_k, 2)
        0.55
        """
        celsius = temperature_k - ICE_POINT_K
        if not self.coldest_c <= celsius <= self.warmest_c:
            raise ValueError(
                f"{self.name} is defined from {self.coldest_c:g} to {self.warmest_c:g} °C, "
                f"not at {celsius:.0f} °C"
            )
        return Thermometer(self.limit_k(temperature_k), self.name)


PROBE_CLASSES = (
    ProbeClass("type K, class 2", 2.5, 0.0075, warmest_c=1200.0),
    ProbeClass("type K, class 1", 1.5, 0.004, warmest_c=1000.0),
    ProbeClass("type J, class 2", 2.5, 0.0075, warmest_c=750.0),
    ProbeClass("type J, class 1", 1.5, 0.004, warmest_c=750.0),
    ProbeClass("type T, class 2", 1.0, 0.0075),
    ProbeClass("type T, class 1", 0.5, 0.004),
    ProbeClass("Pt100, class B", 0.3, 0.005, added=True, coldest_c=-50.0, warmest_c=500.0),
    ProbeClass("Pt100, class A", 0.15, 0.002, added=True, coldest_c=-30.0, warmest_c=300.0),
)
"""Thermocouples: IEC 60584-1. Platinum resistors: IEC 60751, wire-wound for A within the range of films.
All from memory; the limit of the meter that reads the probe comes on top."""


def own_probe(limit_k: float, name: str = "clamp with a limit of its own") -> Thermometer:
    """A probe with the limit [K] that its maker states, a thermistor clamp for instance.

    Raises
    ------
    ValueError
        When the limit is negative.
    """
    if not limit_k >= 0.0:
        raise ValueError(f"the limit of error of a probe is never negative, but {limit_k:g} K was given")
    return Thermometer(limit_k, name)
