"""Write `psychrolib_values.csv`: states of moist air by the package psychrolib, to hold ours against.

psychrolib (2.5.0 made the file) comes as source only, and the set-up installs nothing that must be built;
so its answers are kept here, not the package. To make them anew, with psychrolib at hand::

    python tests/refdata/make_psychrolib_values.py
"""

from __future__ import annotations

import csv
from itertools import product
from pathlib import Path

VALUES = Path(__file__).with_name("psychrolib_values.csv")
COLUMNS = (
    "dry_bulb_c", "relative_humidity", "pressure_pa", "humidity_ratio", "wet_bulb_c", "dew_point_c",
    "vapour_pressure_pa", "enthalpy_j_kg", "specific_volume_m3_kg",
)  # fmt: skip
DRY_BULBS_C = (-30.0, -20.0, -12.5, -5.0, 2.0, 8.0, 15.0, 21.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0)
HUMIDITIES = (0.02, 0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1.0)
BAROMETERS_PA = (61_640.0, 79_495.0, 95_461.0, 101_325.0, 104_500.0)


def main() -> None:
    """Compute every state and write the file."""
    import psychrolib

    psychrolib.SetUnitSystem(psychrolib.SI)
    with VALUES.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        for state in product(DRY_BULBS_C, HUMIDITIES, BAROMETERS_PA):
            ratio, wet, dew, vapour, enthalpy, volume, _ = psychrolib.CalcPsychrometricsFromRelHum(*state)
            found = (ratio, wet, dew, vapour, enthalpy, volume)
            writer.writerow([*state, *(f"{one:.9g}" for one in found)])


if __name__ == "__main__":
    main()
