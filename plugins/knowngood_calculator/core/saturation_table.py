"""The saturation table of a refrigerant at a place: the paper chart, for this air pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_refdata.states import Fluid


@dataclass(frozen=True, eq=False)
class SaturationTable:
    """Columns of one length (n,), in SI; pressures absolute."""

    temperature_k: NDArray[np.float64]
    pressure_pa: NDArray[np.float64]
    slope_k_per_pa: NDArray[np.float64]
    liquid_density_kg_m3: NDArray[np.float64]
    vapour_density_kg_m3: NDArray[np.float64]
    latent_heat_j_kg: NDArray[np.float64]


def saturation_table(fluid: Fluid, temperatures_k: NDArray[np.float64]) -> SaturationTable:
    """The table at temperatures [K], shape (n,); those off the curve are left out.

    The latent heat is the enthalpy of the vapour less that of the liquid.

    >>> from knowngood_refdata.states import fluid
    >>> found = saturation_table(fluid("R-134a"), np.array([273.15]))
    >>> round(float(found.pressure_pa[0]) / 1e3, 1), round(float(found.latent_heat_j_kg[0]) / 1e3, 2)
    (292.8, 198.6)
    """
    pressure = fluid.curve.pressure_pa(temperatures_k)
    liquid, vapour = fluid.saturated_liquid(pressure), fluid.saturated_vapour(pressure)
    on_curve = np.isfinite(pressure) & np.isfinite(liquid.enthalpy_j_kg)
    return SaturationTable(
        *(
            column[on_curve]
            for column in (
                temperatures_k,
                pressure,
                fluid.curve.slope_k_per_pa(pressure),
                liquid.density_kg_m3,
                vapour.density_kg_m3,
                vapour.enthalpy_j_kg - liquid.enthalpy_j_kg,
            )
        )
    )


def round_temperatures_k(
    curve: SaturationCurve, step_k: float, zero_k: float, lowest_k: float, highest_k: float
) -> NDArray[np.float64]:
    """Temperatures that are round in the reader's unit, on the curve between two bounds [K], shape (n,).

    ``step_k`` apart and counted from ``zero_k``, the zero of the unit.

    >>> from knowngood_refdata.refrigerants import saturation
    >>> [float(one) for one in round_temperatures_k(saturation("R-134a"), 5.0, 273.15, 270.0, 284.0)]
    [273.15, 278.15, 283.15]
    """
    lowest, highest = max(lowest_k, curve.lowest_k), min(highest_k, curve.critical_k)
    first, last = np.ceil((lowest - zero_k) / step_k), np.floor((highest - zero_k) / step_k)
    found: NDArray[np.float64] = zero_k + step_k * np.arange(first, last + 1)
    return found
