"""What others measured when R-1234yf took the place of R-134a."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Study:
    """A published comparison; ``reference_from_memory`` when the abstract was read but not the reference."""

    source: str
    how: str
    found: str
    reference_from_memory: bool = False


STUDIES = (
    Study(
        "Lee and Jung, Applied Thermal Engineering 35 (2012) 240",
        "drop-in on a bench with an open compressor for vehicles, summer and winter conditions",
        "COP up to 2.7 % lower, capacity up to 4.0 % lower, discharge 6.5 °C (11.7 °F) cooler, charge 10 % "
        "lower",
        reference_from_memory=True,
    ),
    Study(
        "Daviran and others, Applied Thermal Engineering (2017)",
        "simulated vehicle air conditioning at the same capacity",
        "COP 1.3 to 5 % lower; heat transfer on the refrigerant's side 18 to 21 % lower; pressure drop 24 % "
        "lower in the condenser and 20 % lower in the evaporator",
        reference_from_memory=True,
    ),
    Study(
        "Navarro-Esbrí and others, International Journal of Refrigeration 36 (2013) 870",
        "drop-in on a test rig over a wide range",
        "capacity about 9 % lower, COP about 19 % lower, least at high condensing temperature and with an "
        "internal heat exchanger",
    ),
    Study(
        "Navarro-Esbrí, Molés and Barragán-Cervera, Applied Thermal Engineering 59 (2013) 153",
        "the same rig with and without internal heat exchanger",
        "capacity and COP 6 to 13 % lower, with the exchanger 2 to 6 % lower",
    ),
)

WHAT_IT_IS = (
    "Properties alone: the same saturation temperatures, efficiency and superheat for both. Heat transfer, "
    "pressure drop, the compressor and its oil are taken to be equal; in a car they are not."
)
"""What the table and the curves are, in two sentences."""
