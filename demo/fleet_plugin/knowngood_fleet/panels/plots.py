"""What the fleet's plots draw, in display units."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood.formatting import COVERAGE_95, System
from knowngood.widgets import PlottedCurve, PlottedPoints, theme
from knowngood_fleet.core.drift import Course
from knowngood_fleet.core.fleet import KM_A_MILE
from knowngood_fleet.core.leaks import DAYS_A_YEAR, Verdict, over_time
from knowngood_fleet.words import mass_text, odometer_text, rate_text
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from knowngood.units import Units
    from knowngood_fleet.core.drift import Drift
    from knowngood_fleet.core.leaks import Leak
    from knowngood_fleet.gather import UnitFound
    from knowngood_refdata.records import Estimate

Drawn = tuple[list[PlottedCurve], list[PlottedPoints], str, str]
"""Curves, points, and the labels of the axes."""
_DRIFT_LOOKS = ((theme.CURVES[0], "o"), (theme.CURVES[1], "t1"))


def losses(designs: dict[str, tuple[UnitFound, ...]], units: Units) -> Drawn:
    """Loss in a year over the odometer, a colour a design; hollow where zero cannot be told from it."""
    points: list[PlottedPoints] = []
    short = _short_names(designs)
    for number, (design, members) in enumerate(designs.items()):
        known = [one for one in members if one.leak.kg_per_year and one.unit.odometer_km is not None]
        seen = [one for one in known if one.leak.verdict is not Verdict.ZERO]
        unseen = [one for one in known if one.leak.verdict is Verdict.ZERO]
        colour = theme.CURVES[number % len(theme.CURVES)]
        if seen:
            points.append(_cloud(short[design], colour, seen, units, hollow=False))
        if unseen:
            points.append(_cloud("" if seen else short[design], colour, unseen, units, hollow=True))
    x_label = "Odometer (mi)" if units.system is System.US else "Odometer (km)"
    return [], points, x_label, f"Loss ({units.label(Kind.MASS)} a year)"


def losses_over_time(leak: Leak, units: Units) -> Drawn:
    """The sum of the losses over the years, the line through them and its 95 % range."""
    found, label = over_time(leak), f"Lost ({units.label(Kind.MASS)})"
    if not found or leak.kg_per_year is None:
        return [], [], "Years", label
    first = found[0][0]
    x = np.array([(at - first).days / DAYS_A_YEAR for at, _ in found])
    y = np.array([units.value(one.value, Kind.MASS) for _, one in found])
    words = tuple(
        f"{at:%d %b %Y}: {_sum_text(one, units)} lost since the first weighing" for at, one in found
    )
    ends = np.array([0.0, x[-1]])
    rates = (
        ("leak rate", leak.kg_per_year.value, False),
        ("95 % range", leak.least_kg, True),
        ("95 % range", leak.most_kg, True),
    )
    curves = [
        PlottedCurve(name, theme.CURVES[0], ends, units.value(rate, Kind.MASS) * ends, dashed)
        for name, rate, dashed in rates
    ]
    points = [PlottedPoints("weighed", theme.INK, x, y, words)]
    return curves, points, f"Years since {first:%d %b %Y}", label


def drifts(found: Sequence[Drift], units: Units) -> Drawn:
    """What each visit is off from the sisters, over the years before the last visit, with the lines."""
    curves: list[PlottedCurve] = []
    points: list[PlottedPoints] = []
    for drift, (colour, symbol) in zip(found, _DRIFT_LOOKS, strict=False):
        if not drift.visits:
            continue
        last = drift.visits[-1].at
        x = np.array([(one.at - last).days / DAYS_A_YEAR for one in drift.visits])
        y = np.array([_difference(one.off.value, units) for one in drift.visits])
        words = tuple(
            f"{one.at:%d %b %Y}: {drift.quantity} {_off(one.off.value, units)} than its sisters show"
            for one in drift.visits
        )
        name = "" if drift.fitted else str(drift.quantity)
        points.append(PlottedPoints(name, colour, x, y, words, symbol))
        if drift.fitted is not None:
            ends = np.array([x[0], 0.0])
            line = np.array([_difference(drift.fitted.at(float(one)).value, units) for one in ends])
            name, zero = str(drift.quantity), drift.course is Course.ZERO
            curves.append(PlottedCurve(f"{name}, no drift seen" if zero else name, colour, ends, line, zero))
    label = units.label(Kind.TEMPERATURE_DIFFERENCE)
    return curves, points, "Years before the last visit", f"Above its sisters ({label})"


def _short_names(designs: Iterable[str]) -> dict[str, str]:
    """Designs without years and evaporators, where that still tells them apart."""
    short = {one: one.partition(",")[0] for one in designs}
    told = list(short.values())
    return {one: name if told.count(name) == 1 else one for one, name in short.items()}


def _cloud(
    name: str, colour: str, group: Sequence[UnitFound], units: Units, *, hollow: bool
) -> PlottedPoints:
    km = np.array([one.unit.odometer_km or 0.0 for one in group])
    x = km / KM_A_MILE if units.system is System.US else km
    rates = [one.leak.kg_per_year.value if one.leak.kg_per_year else 0.0 for one in group]
    y = np.array([units.value(one, Kind.MASS) for one in rates])
    words = tuple(_unit_text(one, units.system) for one in group)
    return PlottedPoints(name, colour, x, y, words, hollow=hollow)


def _unit_text(one: UnitFound, system: System) -> str:
    head = f"{one.unit.name}, {one.unit.depot}, {odometer_text(one.unit.odometer_km, system)}"
    charge = mass_text(one.unit.charge_kg, system)
    return f"{head}: {rate_text(one.leak, system)}, {one.leak.verdict}; charge {charge}"


def _sum_text(lost: Estimate, units: Units) -> str:
    return units.text(lost.value, Kind.MASS, uncertainty_si=COVERAGE_95 * lost.standard_uncertainty)


def _difference(kelvin: float, units: Units) -> float:
    return units.value(kelvin, Kind.TEMPERATURE_DIFFERENCE)


def _off(kelvin: float, units: Units) -> str:
    told = units.text(abs(kelvin), Kind.TEMPERATURE_DIFFERENCE)
    return f"{told} {'higher' if kelvin >= 0.0 else 'lower'}"
