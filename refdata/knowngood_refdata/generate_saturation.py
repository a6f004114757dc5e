"""Make the saturation tables in ``data/`` from CoolProp: ``python -m knowngood_refdata.generate_saturation``.

This is the only module of the program that imports CoolProp for saturation. A table holds, on a uniform
grid of s = sqrt(ln(pc/p)), the temperature and its slope dT/ds. In s the curve is smooth up to the critical
point, where T against ln p has a sharp bend: 512 nodes in s are as good as 20,000 in ln p.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent / "data"
FLUIDS = {"R-134a": "R134a", "R-1234yf": "R1234yf", "R-744": "R744", "R-152a": "R152a", "R-12": "R12"}
NODES = 512
LOWEST_K = 200.0
"""Where a table begins, unless the triple point lies higher: below it there is no liquid."""


def main() -> None:
    """Write one table a refrigerant and the record of how they were made."""
    import CoolProp
    from CoolProp.CoolProp import get_fluid_param_string

    record: dict[str, object] = {"made_with": f"CoolProp {CoolProp.__version__}", "tables": {}}
    for name, fluid in FLUIDS.items():
        table, facts = tabulate(fluid)
        facts["equation_of_state"] = get_fluid_param_string(fluid, "BibTeX-EOS")
        np.save(DATA / f"saturation_{name}.npy", table)
        tables = record["tables"]
        assert isinstance(tables, dict)
        tables[name] = facts
    (DATA / "saturation.json").write_text(json.dumps(record, indent=2) + "\n", "utf-8")


def tabulate(fluid: str) -> tuple[np.ndarray[tuple[int, int], np.dtype[np.float64]], dict[str, object]]:
    """The table of a fluid, shape (2, NODES): temperature [K] and dT/ds [K]; and its end points."""
    import CoolProp

    state = CoolProp.AbstractState("HEOS", fluid)
    critical_k, critical_pa = state.T_critical(), state.p_critical()
    lowest_k = max(LOWEST_K, state.Ttriple())
    state.update(CoolProp.QT_INPUTS, 0.0, lowest_k)
    lowest_pa = state.p()
    s = np.linspace(0.0, np.sqrt(np.log(critical_pa / lowest_pa)), NODES)
    table = np.empty((2, NODES))
    for node, pressure in enumerate(critical_pa * np.exp(-(s[1:] ** 2)), start=1):
        state.update(CoolProp.PQ_INPUTS, pressure, 0.0)
        slope_k_per_pa = state.first_saturation_deriv(CoolProp.iT, CoolProp.iP)
        table[:, node] = state.T(), slope_k_per_pa * -2.0 * s[node] * pressure
    # At the critical point itself dT/dp is finite, so the slope in s vanishes there.
    table[:, 0] = critical_k, 0.0
    return table, {
        "critical_k": critical_k,
        "critical_pa": critical_pa,
        "lowest_k": lowest_k,
        "lowest_pa": lowest_pa,
        "triple_k": state.Ttriple(),
    }


if __name__ == "__main__":
    main()
