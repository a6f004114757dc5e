"""CoolProp's equations of state, as the generators of our tables ask them; nothing else imports this.

Enthalpy and entropy count from 200 kJ/kg and 1 kJ/(kg K) in saturated liquid at 0 °C, whatever reference
state CoolProp has been left in.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


class Source:
    """One fluid's properties: always an array (3,) of ln(density [kg/m³]), enthalpy and entropy in SI."""

    def __init__(self, fluid: str) -> None:
        import CoolProp

        self._inputs = CoolProp
        self.state = CoolProp.AbstractState("HEOS", fluid)
        self.state.update(CoolProp.QT_INPUTS, 0.0, 273.15)
        self.triple_k = float(self.state.Ttriple())
        self._shift = (0.0, 200e3 - self.state.hmass(), 1e3 - self.state.smass())

    def saturated(self, pressure_pa: float, quality: float) -> Floats:
        """In a mixture of this quality: saturated liquid at 0, saturated vapour at 1."""
        self.state.unspecify_phase()
        self.state.update(self._inputs.PQ_INPUTS, pressure_pa, quality)
        return self._properties()

    def critical(self) -> Floats:
        """At the critical point."""
        self.state.unspecify_phase()
        self.state.update(self._inputs.DmassT_INPUTS, self.state.rhomass_critical(), self.state.T_critical())
        return self._properties()

    def single(self, kind: str, pressure_pa: float, temperature_k: float) -> Floats:
        """In gas, in liquid, or (any other kind) in whatever phase is stable."""
        self._specify(kind)
        self.state.update(self._inputs.PT_INPUTS, pressure_pa, temperature_k)
        return self._properties()

    def heat_capacity(self, pressure_pa: float, temperature_k: float) -> float:
        """Heat capacity at constant pressure [J/(kg K)] of dense fluid."""
        self._specify("dense")
        self.state.update(self._inputs.PT_INPUTS, pressure_pa, temperature_k)
        return float(self.state.cpmass())

    def density(self, pressure_pa: float, temperature_k: float) -> float:
        """Density [kg/m³] of whatever phase is stable."""
        return float(np.exp(self.single("any", pressure_pa, temperature_k)[0]))

    def at_entropy(self, pressure_pa: float, entropy_j_kg_k: float) -> float:
        """Enthalpy [J/kg] of an entropy, in whatever phase."""
        self._specify("any")
        self.state.update(self._inputs.PSmass_INPUTS, pressure_pa, entropy_j_kg_k - self._shift[2])
        return float(self._properties()[1])

    def along(self, densities: float | Floats, temperatures: float | Floats) -> Floats:
        """Enthalpy and pressure at pairs of density [kg/m³] and temperature [K], shape (2, n)."""
        self._specify("any")
        found = []
        for density, kelvin in np.broadcast(densities, temperatures):
            self.state.update(self._inputs.DmassT_INPUTS, density, kelvin)
            found.append((self._properties()[1], self.state.p()))
        return np.array(found).T

    def _specify(self, kind: str) -> None:
        # Unsaid, the phase near the saturation line is decided by rounding.
        phases = {"gas": self._inputs.iphase_gas, "liquid": self._inputs.iphase_liquid}
        if kind in phases:
            self.state.specify_phase(phases[kind])
        else:
            self.state.unspecify_phase()

    def _properties(self) -> Floats:
        found = np.array([np.log(self.state.rhomass()), self.state.hmass(), self.state.smass()])
        found += self._shift
        return found
