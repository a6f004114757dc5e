"""Which healthy cars the shop has seen: how many of each configuration, how often, and in what weather."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_demo.cars import CARS, SKERRY, Car
from knowngood_demo.readings import Spread

SUMMER = Spread((30.8, 32.2), (44.0, 51.0))
WIDE = Spread((27.0, 34.0), (40.0, 60.0))
MILD = Spread((26.5, 29.5), (38.0, 52.0))
COOL = Spread((22.0, 25.5), (50.0, 65.0))


@dataclass(frozen=True, slots=True)
class Plan:
    """Visits of one configuration: how many of each car, the speeds read after idle, the weather.

    ``leg_s`` is how long a speed is held: an accumulator needs longer to settle than a receiver.
    """

    car: Car
    visits_by_unit: tuple[int, ...]
    speeds_rpm: tuple[float, ...]
    spread: Spread = WIDE
    leg_s: float = 55.0


def _find(model: str, engine: str, from_year: int, market: str = "") -> Car:
    wanted = model, engine, from_year, market
    return next(one for one in CARS if (one.model, one.engine, one.years[0], one.market) == wanted)


PLANS: tuple[Plan, ...] = (
    Plan(SKERRY, (3, 2, 2, 2, 1), (1_500.0, 2_000.0), SUMMER),
    Plan(SKERRY, (1, 0, 1, 0, 1), (2_000.0,), COOL),
    Plan(_find("Skerry", "1.4 hybrid", 2021), (2, 2, 2), (1_500.0, 2_000.0)),
    Plan(_find("Skerry", "1.6 petrol", 2018), (2, 2, 1), (1_500.0, 2_000.0)),
    Plan(_find("Gill", "1.6 petrol", 2020), (2, 1, 1, 2), (2_000.0,)),
    Plan(_find("Rill", "electric", 2022), (2, 2, 2), ()),
    Plan(_find("Rill Estate", "electric", 2023), (2, 1, 1), ()),
    Plan(_find("Plover", "1.8 petrol", 2011), (3, 2, 2, 2), (1_500.0,), MILD, 120.0),
    Plan(_find("Plover Estate", "1.8 petrol", 2012), (1, 1), ()),
    Plan(_find("Wader", "1.2 petrol", 2017), (3, 2, 2), (1_500.0, 2_000.0)),
    Plan(_find("Bracken", "2.0 diesel", 2014), (3, 2, 2), (1_500.0,)),
    Plan(_find("Bracken High Roof", "2.0 diesel", 2014), (2, 1, 1), (1_500.0,)),
    Plan(_find("Wader", "1.2 petrol", 2017, "export"), (2, 2, 1), (1_500.0, 2_000.0)),
)
"""Nothing is planned for the Wader 1.5 diesel: a configuration with specs and no reading."""
