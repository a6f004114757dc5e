"""Make the tables of states in ``data/`` from CoolProp: ``python -m knowngood_refdata.generate_states``.

Run `knowngood_refdata.generate_saturation` first.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.coolprop_source import Source
from knowngood_refdata.generate_saturation import DATA, FLUIDS
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.region import Bounds

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

DOME_NODES = 257
SIZES = {"gas": (72, 52), "liquid": (72, 72), "dense": (88, 76)}
NEAREST_TO_CRITICAL = 0.99
"""Highest pressure of gas and liquid, as a share of the critical pressure."""
HOTTEST_K = 473.15
COLDEST_K = 180.0
DENSE_PA = {"R-744": (1.015, 162e5)}
"""Fluid above the critical pressure: from this multiple of it to this pressure [Pa]."""
DENSE_COLDEST_K = 268.15
RIDGE_TERMS = 5


def main() -> None:
    """Write one table a refrigerant and the record of how they were made."""
    import CoolProp

    record: dict[str, Any] = {"made_with": f"CoolProp {CoolProp.__version__}", "tables": {}}
    for name, fluid in FLUIDS.items():
        arrays, facts = tabulate(name, fluid)
        np.savez(DATA / f"states_{name}.npz", **arrays)
        record["tables"][name] = facts
    (DATA / "states.json").write_text(json.dumps(record, indent=2) + "\n", "utf-8")


def tabulate(name: str, fluid: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The tables of a refrigerant and what must be known to read them.

    The dome has shape (DOME_NODES, 6): ln(density), enthalpy, entropy of liquid, then of vapour, at equal
    steps of a. Each region has shape (3, rows, columns).
    """
    from CoolProp.CoolProp import get_fluid_param_string

    source, curve = Source(fluid), saturation(name)
    deepest = float(np.sqrt(np.log(curve.critical_pa / curve.lowest_pa)))
    nearest = float(np.sqrt(-np.log(NEAREST_TO_CRITICAL)))
    # Rows of R-744 begin a little below its triple point: a row of no length has no steps.
    coldest_k = curve.lowest_k - 3.0 if curve.begins_at_triple_point else COLDEST_K
    point = (curve.critical_k, curve.critical_pa)
    bounds = {
        "gas": Bounds(*point, False, nearest, deepest, None, HOTTEST_K),
        "liquid": Bounds(*point, False, nearest, deepest, coldest_k, None, max(coldest_k, source.triple_k)),
    }
    ridge: list[float] = []
    if name in DENSE_PA:
        factor, highest_pa = DENSE_PA[name]
        first, last = (float(np.sqrt(np.log(x))) for x in (factor, highest_pa / curve.critical_pa))
        bounds["dense"] = Bounds(*point, True, first, last, DENSE_COLDEST_K, HOTTEST_K)
        ridge = fit_ridge(source, *point, last)
    arrays: dict[str, Any] = {"dome": dome(source, curve.critical_pa, deepest)}
    for kind, where in bounds.items():
        arrays[kind] = region(source, kind, where, ridge)
    return arrays, {
        "equation_of_state": get_fluid_param_string(fluid, "BibTeX-EOS"),
        "molar_mass_kg_mol": source.state.molar_mass(),
        "regions": {kind: asdict(where) for kind, where in bounds.items()},
        "ridge": ridge,
    }


def dome(source: Source, critical_pa: float, deepest: float) -> Floats:
    """Saturated liquid and vapour from the critical point down."""
    steps = np.linspace(0.0, deepest, DOME_NODES)
    rows = [np.tile(source.critical(), 2)]
    for a in steps[1:]:
        pressure = critical_pa * np.exp(-a * a)
        rows.append(np.concatenate([source.saturated(pressure, 0.0), source.saturated(pressure, 1.0)]))
    return np.array(rows)


def region(source: Source, kind: str, bounds: Bounds, ridge: list[float]) -> Floats:
    """Properties at the nodes of a region, shape (3, rows, columns)."""
    rows, columns = SIZES[kind]
    table = np.empty((3, rows, columns))
    for row, a in enumerate(np.linspace(bounds.first, bounds.last, rows)):
        pressure = bounds.critical_pa * np.exp(a * a if kind == "dense" else -a * a)
        edge = None if kind == "dense" else source.saturated(pressure, 1.0 if kind == "gas" else 0.0)
        ridge_k = ridge_temperature(a, bounds.critical_k, ridge) if edge is None else source.state.T()
        width, cold, hot = bounds.spread(np.array([a]), np.array([ridge_k]))
        for column, kelvin in enumerate(ridge_k + width * np.sinh(np.linspace(cold[0], hot[0], columns))):
            saturated = edge is not None and column == (0 if kind == "gas" else columns - 1)
            table[:, row, column] = edge if saturated else source.single(kind, pressure, kelvin)
    return table


def ridge_temperature(a: float, critical_k: float, ridge: list[float]) -> float:
    """Temperature [K] of the ridge above the critical pressure: Tc (1 + r1 a² + r2 a⁴ ...)."""
    return float(critical_k * (1.0 + sum(term * a ** (2 * power) for power, term in enumerate(ridge, 1))))


def fit_ridge(source: Source, critical_k: float, critical_pa: float, last: float) -> list[float]:
    """The ridge's terms, from where the heat capacity is largest at each pressure."""
    from scipy.optimize import minimize_scalar

    places = np.linspace(0.1, last, 40)
    found = []
    for a in places:
        pressure = critical_pa * np.exp(a * a)

        def falling(kelvin: float, pressure: float = pressure) -> float:
            return -source.heat_capacity(pressure, kelvin)

        guess_k = critical_k * a * a / 7.0
        bounds = (critical_k, critical_k + 1.5 * guess_k)
        found.append(minimize_scalar(falling, bounds=bounds, method="bounded", options={"xatol": 1e-6}).x)
    powers = np.stack([places ** (2 * power) for power in range(1, RIDGE_TERMS + 1)], axis=-1)
    terms = np.linalg.lstsq(powers, np.array(found) / critical_k - 1.0)[0]
    return [float(term) for term in terms]


if __name__ == "__main__":
    main()
