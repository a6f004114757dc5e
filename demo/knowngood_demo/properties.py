"""Fast tables of real refrigerant properties, made from CoolProp once and kept in memory.

The tables run over the saturation temperature, which keeps a look-up near a microsecond: ten minutes of
simulated running ask some tens of thousands of times. Enthalpies keep CoolProp's reference; only
differences are used.
"""

from __future__ import annotations

import itertools
from functools import cache
from typing import NamedTuple

import numpy as np
from CoolProp import QT_INPUTS, AbstractState, HmassP_INPUTS, PSmass_INPUTS

FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf"}
LOWEST_K = 215.0
_FINE_K = 0.25
_COARSE_K = 2.0
_STEP_H = 4_000.0
_STEP_S = 10.0
_COLUMNS = 30


class Saturated(NamedTuple):
    """Both phases at one saturation temperature: pascals, kg/m³, J/kg, J/(kg K)."""

    pressure_pa: float
    liquid_density: float
    vapour_density: float
    liquid_h: float
    vapour_h: float
    vapour_s: float
    liquid_cp: float
    vapour_cp: float


class Vapour(NamedTuple):
    """Superheated vapour: kelvins, kg/m³, J/(kg K)."""

    temperature_k: float
    density: float
    entropy: float


class Properties:
    """Tables of one refrigerant, ``R-134a`` or ``R-1234yf``; linear between their points."""

    def __init__(self, name: str) -> None:
        self.name = name
        self._state = AbstractState("HEOS", FLUIDS[name])
        self.highest_k = float(self._state.T_critical()) - 2.0
        fine = np.arange(LOWEST_K, self.highest_k + _FINE_K, _FINE_K)
        coarse = np.arange(LOWEST_K, self.highest_k, _COARSE_K)
        self._rows = [self._saturated(float(t)) for t in fine]
        self._slopes = [
            Saturated(*[after - before for before, after in zip(row, following, strict=True)])
            for row, following in itertools.pairwise(self._rows)
        ]
        self._pressures = np.array([row.pressure_pa for row in self._rows])
        self._temperatures = fine
        self._last_coarse = len(coarse) - 2
        bases = [(float(t), self._saturated(float(t))) for t in coarse]
        self._vapour = [[self._by_enthalpy(t, b, _STEP_H * j) for j in range(_COLUMNS)] for t, b in bases]
        self._isentrope = [[self._by_entropy(b, _STEP_S * j) for j in range(_COLUMNS)] for _, b in bases]

    def saturated(self, t_k: float) -> Saturated:
        """Both phases at a saturation temperature in kelvins, held within the table."""
        place = (min(max(t_k, LOWEST_K), self.highest_k) - LOWEST_K) / _FINE_K
        index = int(place)
        x = place - index
        # Written out: this line runs about a million times while the demo's library is built.
        p, dl, dv, hl, hv, sv, cl, cv = self._rows[index]
        p_x, dl_x, dv_x, hl_x, hv_x, sv_x, cl_x, cv_x = self._slopes[index]
        return Saturated(
            p + p_x * x,
            dl + dl_x * x,
            dv + dv_x * x,
            hl + hl_x * x,
            hv + hv_x * x,
            sv + sv_x * x,
            cl + cl_x * x,
            cv + cv_x * x,
        )

    def saturation_k(self, p_pa: float) -> float:
        """Saturation temperature in kelvins of an absolute pressure in pascals."""
        return float(np.interp(p_pa, self._pressures, self._temperatures))

    def vapour(self, saturation_k: float, above_h: float) -> Vapour:
        """Vapour at the pressure of a saturation temperature, ``above_h`` J/kg above dry saturation."""
        row, part, column, share = self._place(saturation_k, above_h / _STEP_H)
        low, high = self._vapour[row], self._vapour[row + 1]
        return Vapour(
            *[
                (a + (b - a) * share) * (1.0 - part) + (c + (d - c) * share) * part
                for a, b, c, d in zip(
                    low[column], low[column + 1], high[column], high[column + 1], strict=True
                )
            ]
        )

    def isentrope(self, saturation_k: float, entropy: float) -> float:
        """Enthalpy above dry saturation, J/kg, where the isobar of a saturation temperature has an entropy.

        Below dry saturation the isobar is straight, dh = T ds.
        """
        excess = entropy - self.saturated(saturation_k).vapour_s
        if excess < 0.0:
            return saturation_k * excess
        row, part, column, share = self._place(saturation_k, excess / _STEP_S)
        low, high = self._isentrope[row], self._isentrope[row + 1]
        at_low = low[column] + (low[column + 1] - low[column]) * share
        at_high = high[column] + (high[column + 1] - high[column]) * share
        return at_low + (at_high - at_low) * part

    def _place(self, saturation_k: float, along: float) -> tuple[int, float, int, float]:
        down = (saturation_k - LOWEST_K) / _COARSE_K
        row = min(max(int(down), 0), self._last_coarse)
        column = min(max(int(along), 0), _COLUMNS - 2)
        return row, down - row, column, along - column

    def _saturated(self, t_k: float) -> Saturated:
        state = self._state
        state.update(QT_INPUTS, 0.0, t_k)
        p, density, h, cp = state.p(), state.rhomass(), state.hmass(), state.cpmass()
        state.update(QT_INPUTS, 1.0, t_k)
        return Saturated(p, density, state.rhomass(), h, state.hmass(), state.smass(), cp, state.cpmass())

    def _by_enthalpy(self, t_k: float, base: Saturated, above: float) -> Vapour:
        if above == 0.0:
            return Vapour(t_k, base.vapour_density, base.vapour_s)
        self._state.update(HmassP_INPUTS, base.vapour_h + above, base.pressure_pa)
        return Vapour(self._state.T(), self._state.rhomass(), self._state.smass())

    def _by_entropy(self, base: Saturated, above: float) -> float:
        if above == 0.0:
            return 0.0
        self._state.update(PSmass_INPUTS, base.pressure_pa, base.vapour_s + above)
        return float(self._state.hmass()) - base.vapour_h


@cache
def properties(name: str) -> Properties:
    """The tables of a refrigerant, made at the first call (about half a second)."""
    return Properties(name)
