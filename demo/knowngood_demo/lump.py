"""One side of the loop as a volume that holds mass and energy: the pressure follows from both."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from knowngood_demo.properties import Properties, Saturated

_NUDGE_K = 0.1
_VAPOUR_CV = 800.0


class Lump:
    """Liquid and vapour of one refrigerant in equilibrium in a fixed volume.

    With mass m, volume V and inner energy U the saturation temperature T solves
    m_l u_l(T) + m_v u_v(T) = U, m_l + m_v = m, m_l / rho_l + m_v / rho_v = V. One Newton step a time step
    suffices, for what it leaves stays in U and is taken up by the next.

    Attributes
    ----------
    mass_kg, energy_j : float
        What the volume holds; `add` changes them.
    saturation_k : float
        Temperature of both phases.
    state : Saturated
        Both phases at that temperature.
    liquid_kg : float
        Mass of the liquid; 0 when only vapour is left.
    """

    def __init__(self, properties: Properties, volume_m3: float, mass_kg: float, saturation_k: float) -> None:
        self._properties = properties
        self.volume_m3 = volume_m3
        self.mass_kg = mass_kg
        self.saturation_k = saturation_k
        self.state: Saturated = properties.saturated(saturation_k)
        self.energy_j, self.liquid_kg = self._holds(self.state)

    @property
    def pressure_pa(self) -> float:
        """Absolute pressure."""
        return self.state.pressure_pa

    def add(self, mass_kg: float, energy_j: float) -> None:
        """Take in mass and energy (negative: give off) and find the new pressure."""
        self.mass_kg += mass_kg
        self.energy_j += energy_j
        now, _ = self._holds(self.state)
        above, _ = self._holds(self._properties.saturated(self.saturation_k + _NUDGE_K))
        step_k = (self.energy_j - now) * _NUDGE_K / max(above - now, 1.0)
        self.saturation_k += min(max(step_k, -2.0), 2.0)
        self.state = self._properties.saturated(self.saturation_k)
        _, self.liquid_kg = self._holds(self.state)

    def _holds(self, state: Saturated) -> tuple[float, float]:
        """Inner energy, J, and liquid mass, kg, of the lump's mass at a saturation state."""
        vapour_kg = (self.volume_m3 - self.mass_kg / state.liquid_density) / (
            1.0 / state.vapour_density - 1.0 / state.liquid_density
        )
        vapour_u = state.vapour_h - state.pressure_pa / state.vapour_density
        if vapour_kg >= self.mass_kg:
            return self._vapour_alone(state, vapour_u), 0.0
        liquid_u = state.liquid_h - state.pressure_pa / state.liquid_density
        liquid_kg = self.mass_kg - vapour_kg
        return liquid_kg * liquid_u + vapour_kg * vapour_u, liquid_kg

    def _vapour_alone(self, state: Saturated, vapour_u: float) -> float:
        # With the liquid gone the pressure still is the state's; its vapour is then thinner than dry
        # saturated vapour, hence hotter in the ratio of the densities, as an ideal gas would be.
        density = self.mass_kg / self.volume_m3
        hotter_k = self.saturation_k * (state.vapour_density / density - 1.0)
        return self.mass_kg * (vapour_u + _VAPOUR_CV * hotter_k)
