"""What was found in words, in either unit system."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import MISSING, System
from knowngood_fleet.core.drift import Course
from knowngood_fleet.core.due import State
from knowngood_fleet.core.fleet import KM_A_MILE
from knowngood_fleet.core.leaks import Verdict
from knowngood_fleet.core.refill import LAW, Refill
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from knowngood_fleet.core.drift import Drift
    from knowngood_fleet.core.due import Due
    from knowngood_fleet.core.fleet import FleetUnit
    from knowngood_fleet.core.leaks import Leak, Service
    from knowngood_fleet.gather import Against, UnitFound

NO_UNITS = "No unit of the fleet is on record yet. Make cars of the library units of the fleet first."
NO_CARS = (
    "The library holds no car that could become a unit of the fleet. Enter the cars, with their fleet "
    "numbers, on the Vehicle specs page first."
)
FOOT = (
    "Weights are given with 95 % ranges from scale and recovery. Local codes and licensed practice prevail."
)
INSIDE, BELOW, ABOVE, CANNOT_TELL = "inside", "below", "above", "cannot tell"


def mass_text(kg: float | None, system: System) -> str:
    """A weight."""
    return formatting.text(kg, Kind.MASS, system)


def rate_text(leak: Leak, system: System) -> str:
    """A leak rate with its 95 % range: ``120 ± 32 g a year``."""
    if leak.kg_per_year is None:
        return MISSING
    lost = formatting.text(leak.kg_per_year.value, Kind.MASS, system, uncertainty_si=leak.half_width_95)
    return f"{lost} a year"


def leak_text(leak: Leak, system: System) -> str:
    """What the weighings say, in a sentence or two."""
    if leak.kg_per_year is None:
        return (
            "Not enough weighings: a loss is known from one full recovery and charge by weight to the next."
        )
    spans = _counted(len(leak.stretches), "stretch", "stretches")
    head = f"{rate_text(leak, system)} (95 %), from {spans} since {leak.since:%d %b %Y}: {leak.verdict}."
    if leak.verdict is Verdict.ZERO:
        head += (
            f" A loss of less than {mass_text(max(leak.most_kg, 0.0), system)} a year would not have shown."
        )
    if leak.verdict is Verdict.GAINING:
        head += " Look for a weighing or a top-up that was not entered."
    if not leak.steady:
        head += " The stretches differ by more than weighing explains: no single rate fits them."
    return head


def flag_text(found: UnitFound, system: System) -> str:
    """The flag of a unit with its reason and whose word counts; empty without a flag."""
    flag = found.flag
    if flag.refill is Refill.NO_FLAG:
        return ""
    usual = mass_text(found.unit.usual_loss_kg, system)
    why = []
    if flag.shown:
        sure = flag.refill is Refill.REPAIR_FIRST
        loses = "it surely loses more than" if sure else "it loses refrigerant, perhaps more than"
        why.append(f"{loses} the {usual} a year taken as usual")
    if flag.repeated:
        why.append(f"refrigerant was added {flag.repeated} times since the last repair without recovery")
    return f"{str(flag.refill).capitalize()}: {' and '.join(why)}. {LAW}"


def share_text(found: UnitFound) -> str:
    """The loss as a share of the charge in a year."""
    rate, charge = found.leak.kg_per_year, found.unit.charge_kg
    if rate is None or not charge:
        return MISSING
    return f"{100.0 * rate.value / charge:.0f} %"


def drift_text(drift: Drift, system: System) -> str:
    """The course of a quantity in a sentence."""
    name = str(drift.quantity).capitalize()
    if drift.kelvin_per_year is None:
        return f"{name}: {drift.course}, {drift.reason}."
    slope, zero = drift.kelvin_per_year.value, drift.course is Course.ZERO
    moves = formatting.text(
        slope if zero else abs(slope),
        Kind.TEMPERATURE_DIFFERENCE,
        system,
        uncertainty_si=drift.half_width_95,
    )
    days = _counted(len(drift.visits), "visit", "visits")
    if zero:
        return f"{name}: {drift.course}, {moves} a year (95 %) against its sisters, {days}."
    return f"{name} {drift.course} against its sisters by {moves} a year (95 %), {days}."


def short_drift(found: UnitFound) -> str:
    """Which quantities drift: ``subcooling falls``."""
    moving = [one for one in found.drifts if one.course in (Course.RISING, Course.FALLING)]
    if moving:
        return ", ".join(f"{one.quantity} {one.course}" for one in moving)
    known = any(one.kelvin_per_year is not None for one in found.drifts)
    return "no drift seen" if known else MISSING


def outcome(against: Against) -> str:
    """Where a reading lies against its sisters' 90 % range; its own uncertainty decides at the edge."""
    outer, value = against.expected.outer, against.value
    if outer is None:
        return CANNOT_TELL
    half = formatting.COVERAGE_95 * value.standard_uncertainty
    if outer.low <= value.value <= outer.high:
        return INSIDE
    if value.value < outer.low:
        return BELOW if value.value + half < outer.low else CANNOT_TELL
    return ABOVE if value.value - half > outer.high else CANNOT_TELL


def due_words(due: Due) -> str:
    """What makes a check due, and by when: ``by 31 May 2026, the season``."""
    if due.state is State.DUE and due.last is None and due.on == due.from_on:
        return "never done"
    return f"by {due.on:%d %b %Y}, {due.by}"


def first_due(found: UnitFound) -> str:
    """The most pressing check of a unit."""
    return f"{found.due[0].state}: {short_check(found.due[0].check.name)}" if found.due else MISSING


def short_check(name: str) -> str:
    """A check without what is told about it: ``Season check``."""
    return name.partition(":")[0]


def counters_text(unit: FleetUnit, system: System) -> str:
    """Hours and odometer as last read."""
    hours = MISSING if unit.hours is None else f"{unit.hours:,.0f} h"
    return f"{hours}, {odometer_text(unit.odometer_km, system)}"


def odometer_text(km: float | None, system: System) -> str:
    """An odometer in miles or kilometres."""
    if km is None:
        return MISSING
    return f"{km / KM_A_MILE:,.0f} mi" if system is System.US else f"{km:,.0f} km"


def service_row(service: Service, system: System) -> tuple[str, ...]:
    """A service as a row: day, what, out, in, repaired, note."""
    return (
        f"{service.at:%d %b %Y}",
        str(service.work),
        mass_text(service.recovered_kg, system),
        mass_text(service.charged_kg, system),
        "leak repaired" if service.repaired else "",
        service.note,
    )


def _counted(number: int, one: str, many: str) -> str:
    return f"{number} {one if number == 1 else many}"
