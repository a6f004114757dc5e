"""The records of a fleet: units with their depot, body and counters."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood_fleet.core.leaks import USUAL_LOSS_KG

if TYPE_CHECKING:
    from datetime import date

    from knowngood_fleet.core.leaks import Service

KM_A_MILE = 1.609344


@dataclass(frozen=True, slots=True)
class Counters:
    """Engine hours and odometer as read on one day; None where it was not read."""

    at: date
    hours: float | None = None
    odometer_km: float | None = None


@dataclass(frozen=True, slots=True)
class Done:
    """A seasonal check that was done: which, when, and what the counters showed."""

    check: str
    at: date
    hours: float | None = None
    odometer_km: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class FleetUnit:
    """One vehicle of the fleet; ``unit_id`` is its number among the real cars of the library.

    Attributes
    ----------
    design
        The vehicle configuration in one line; units of one design are sisters.
    usual_loss_kg
        What such a circuit may lose in a year before it counts as a leak.
    counters, services, done
        Oldest first.
    """

    unit_id: int
    vehicle_id: int
    name: str
    design: str
    depot: str
    body: str
    usual_loss_kg: float = USUAL_LOSS_KG
    charge_kg: float | None = None
    counters: tuple[Counters, ...] = ()
    services: tuple[Service, ...] = ()
    done: tuple[Done, ...] = ()

    @property
    def hours(self) -> float | None:
        """The engine hours last read."""
        return next((one.hours for one in reversed(self.counters) if one.hours is not None), None)

    @property
    def odometer_km(self) -> float | None:
        """The odometer last read."""
        return next((one.odometer_km for one in reversed(self.counters) if one.odometer_km is not None), None)


def went_back(before: FleetUnit, new: Counters) -> str:
    """Which counter would run backwards by a new entry, in words; empty when none does.

    >>> from datetime import date
    >>> unit = FleetUnit(1, 1, "HL-1", "", "", "", counters=(Counters(date(2026, 3, 1), hours=900.0),))
    >>> went_back(unit, Counters(date(2026, 4, 1), hours=90.0))
    'the engine hours would fall from 900 on 2026-03-01 to 90 on 2026-04-01'
    """
    for name, words in (("hours", "the engine hours"), ("odometer_km", "the odometer")):
        for one in (*before.counters, new):
            for other in (*before.counters, new):
                early, late = getattr(one, name), getattr(other, name)
                if early is not None and late is not None and one.at < other.at and early > late:
                    return f"{words} would fall from {early:,.0f} on {one.at} to {late:,.0f} on {other.at}"
    return ""
