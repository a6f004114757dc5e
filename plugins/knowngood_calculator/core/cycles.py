"""A cycle from what was assumed or measured: its figures with their uncertainty, and words of warning."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata import cycle
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Estimate, Instruments
from knowngood_refdata.uncertainty import (
    combine,
    pressure_standard_uncertainty_pa,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.cycle import Cycle
    from knowngood_refdata.states import Fluid

    Floats = NDArray[np.float64]

VOLUMETRIC_LIMIT = 0.10
"""Half the width within which a volumetric efficiency is known without a measurement (common practice, no
source): it falls with speed and pressure ratio, and differs from compressor to compressor."""

LEAST_EFFICIENCY = 0.1
"""No compressor that still pumps lies below this (common practice, no source)."""

_NO_EFFICIENCY = "no compressor has such an isentropic efficiency: 70 % is written as 70, and 100 is the most"

ROUNDING = 1e-6
"""An efficiency of 1 that was assumed may come back this much above it."""

_LINES = ("suction_k", "liquid_k", "discharge_k", "evaporator_outlet_k")

HOT_DISCHARGE_K = 273.15 + 120.0
"""From here on oil and hoses suffer (common practice, no source)."""


class Figure(Enum):
    """What is computed of a cycle: its name, and the kind of quantity, None for a plain number."""

    CAPACITY = "Capacity per mass", Kind.SPECIFIC_ENERGY
    WORK = "Compressor work", Kind.SPECIFIC_ENERGY
    COP = "COP", None
    VOLUMETRIC = "Volumetric capacity", Kind.VOLUMETRIC_CAPACITY
    RATIO = "Pressure ratio", None
    DISCHARGE = "Discharge temperature", Kind.TEMPERATURE
    EFFICIENCY = "Isentropic efficiency", Kind.FRACTION
    EXCHANGED = "Heat in the exchanger", Kind.SPECIFIC_ENERGY

    def __init__(self, title: str, kind: Kind | None) -> None:
        self.title, self.kind = title, kind

    def of(self, found: Cycle) -> Floats:
        """The figure of a cycle, in SI."""
        match self:
            case Figure.CAPACITY:
                return found.capacity_j_kg
            case Figure.WORK:
                return found.work_j_kg
            case Figure.COP:
                return found.cop
            case Figure.VOLUMETRIC:
                return found.volumetric_capacity_j_m3
            case Figure.RATIO:
                return found.pressure_ratio
            case Figure.DISCHARGE:
                return found.discharge.temperature_k
            case Figure.EFFICIENCY:
                return found.isentropic_efficiency
            case Figure.EXCHANGED:
                return found.exchanged_j_kg


@dataclass(frozen=True, slots=True)
class Assumed:
    """Conditions of a cycle that is thought of, in SI.

    ``condensing_k`` is the condensing temperature, or None for a cycle whose heat leaves above the
    critical pressure: then ``cooler_pa`` and ``cooler_outlet_k`` say how.
    """

    evaporating_k: float
    condensing_k: float | None
    superheat_k: float = 0.0
    subcooling_k: float = 0.0
    isentropic_efficiency: float = 1.0
    exchanger_effectiveness: float = 0.0
    cooler_pa: float | None = None
    cooler_outlet_k: float | None = None


@dataclass(frozen=True, slots=True)
class Measured:
    """Points of a cycle that was measured, absolute pressures, in SI; None where nothing was measured."""

    low_pa: float
    suction_k: float
    high_pa: float
    liquid_k: float
    discharge_k: float | None = None
    evaporator_outlet_k: float | None = None
    isentropic_efficiency: float = 0.7


@dataclass(frozen=True, eq=False)
class Answered:
    """A cycle with its figures; without one the words alone answer.

    Attributes
    ----------
    cycle
        None when there is none.
    estimates
        The figures; a standard uncertainty of 0 where nothing was measured.
    words
        Why there is no cycle, or what to think of it.
    """

    cycle: Cycle | None
    estimates: Mapping[Figure, Estimate]
    words: str = ""


def from_assumed(fluid: Fluid, given: Assumed) -> Answered:
    """The cycle of assumed conditions.

    Çengel and Boles, Thermodynamics, 5th edition, example 11-1: 0.14 and 0.8 MPa, COP 3.97.

    >>> from knowngood_refdata.states import fluid
    >>> r134a = fluid("R-134a")
    >>> ends = r134a.curve.temperature_k(0.14e6), r134a.curve.temperature_k(0.8e6)
    >>> round(from_assumed(r134a, Assumed(*ends)).estimates[Figure.COP].value, 2)
    3.97
    """
    problem = _assumed_problem(fluid, given)
    if problem:
        return Answered(None, {}, problem)
    if given.condensing_k is None:
        assert given.cooler_pa is not None
        assert given.cooler_outlet_k is not None
        found = cycle.transcritical(
            fluid,
            given.evaporating_k,
            given.cooler_pa,
            given.cooler_outlet_k,
            superheat_k=given.superheat_k,
            isentropic_efficiency=given.isentropic_efficiency,
            exchanger_effectiveness=given.exchanger_effectiveness,
        )
    else:
        found = cycle.assumed(
            fluid,
            given.evaporating_k,
            given.condensing_k,
            superheat_k=given.superheat_k,
            subcooling_k=given.subcooling_k,
            isentropic_efficiency=given.isentropic_efficiency,
            exchanger_effectiveness=given.exchanger_effectiveness,
        )
    return _answered(found, {figure: Estimate(float(figure.of(found)), 0.0) for figure in Figure})


def from_measured(fluid: Fluid, given: Measured, instruments: Instruments) -> Answered:
    """The cycle through measured points, with the uncertainty that the instruments leave.

    u² is the sum of (f(x + u) - f(x - u))² / 4 over the inputs, JCGM 100:2008, 5.1.3, note 2; all the
    moved points are computed in one call.

    Çengel and Boles, example 11-2: COP 3.93, isentropic efficiency 0.939 (0.937 with the 1994 equation).

    >>> from knowngood_refdata.states import fluid
    >>> points = Measured(0.14e6, 263.15, 0.8e6, 299.15, 323.15)
    >>> found = from_measured(fluid("R-134a"), points, Instruments()).estimates
    >>> round(found[Figure.EFFICIENCY].value, 3), round(found[Figure.COP].value, 2)
    (0.937, 3.93)
    """
    problem = _measured_problem(fluid, given)
    if problem:
        return Answered(None, {}, problem)
    moved = _moved(given, instruments)
    several = cycle.measured(fluid, isentropic_efficiency=given.isentropic_efficiency, **moved)
    estimates = {
        figure: _estimate(np.broadcast_to(figure.of(several), moved["low_pa"].shape)) for figure in Figure
    }
    return _answered(several.first(), estimates)


def flow(
    suction_kg_m3: float,
    displacement_m3: float,
    pulley_ratio: float,
    engine_rpm: float,
    volumetric_efficiency: float,
) -> Estimate:
    """Refrigerant that the compressor moves at full stroke [kg/s], with the uncertainty of its efficiency.

    m = efficiency · density · displacement · pulley ratio · engine speed / 60. The volumetric efficiency is
    taken as known within `VOLUMETRIC_LIMIT`, any value inside being as likely (JCGM 100:2008, 4.3.7).

    >>> found = flow(15.0, 160e-6, 1.25, 1600.0, 0.7)
    >>> round(found.value, 3), round(found.standard_uncertainty / found.value, 2)
    (0.056, 0.08)
    """
    full = float(cycle.mass_flow_kg_s(suction_kg_m3, displacement_m3, pulley_ratio * engine_rpm, 1.0))
    return Estimate(full * volumetric_efficiency, full * VOLUMETRIC_LIMIT / math.sqrt(3.0))


def times(flow_kg_s: Estimate, per_mass: Estimate) -> Estimate:
    """Power [W] of a flow and an energy per mass [J/kg]; the two uncertainties are independent."""
    value = flow_kg_s.value * per_mass.value
    return Estimate(
        value,
        combine(
            flow_kg_s.standard_uncertainty * per_mass.value, per_mass.standard_uncertainty * flow_kg_s.value
        ),
    )


def _estimate(at: Floats) -> Estimate:
    """Value and standard uncertainty from the values at the points and at the moved points."""
    up, down = at[1::2] - at[0], at[0] - at[2::2]
    # A point moved off the edge of what there is leaves its other side to go by.
    halves = np.where(np.isnan(up), down, np.where(np.isnan(down), up, (up + down) / 2.0))
    return Estimate(float(at[0]), combine(*(float(half) for half in halves)))


def _moved(given: Measured, instruments: Instruments) -> dict[str, Floats]:
    """The points as measured, and for each input one standard uncertainty up and down: arrays alike."""
    spread = {
        "low_pa": pressure_standard_uncertainty_pa(instruments.low),
        "high_pa": pressure_standard_uncertainty_pa(instruments.high),
        **dict.fromkeys(_LINES, thermometer_standard_uncertainty_k(instruments.line)),
    }
    measured = {name: getattr(given, name) for name in spread if getattr(given, name) is not None}
    moved: dict[str, Floats] = {}
    for place, (name, value) in enumerate(measured.items()):
        moved[name] = np.full(1 + 2 * len(measured), value)
        moved[name][1 + 2 * place] += spread[name]
        moved[name][2 + 2 * place] -= spread[name]
    return moved


def _answered(found: Cycle, estimates: Mapping[Figure, Estimate]) -> Answered:
    if math.isnan(estimates[Figure.COP].value):
        return Answered(None, {}, "a point of this cycle lies outside what is tabulated")
    return Answered(found, estimates, _remarks(estimates))


def _remarks(estimates: Mapping[Figure, Estimate]) -> str:
    efficiency = estimates[Figure.EFFICIENCY]
    if efficiency.value - 2.0 * efficiency.standard_uncertainty > 1.0 + ROUNDING:
        return (
            "the discharge line is colder than any compression can leave it: its clamp reads too cold, or "
            "liquid reaches the compressor"
        )
    if efficiency.value > 1.0 + ROUNDING:
        return (
            "the isentropic efficiency is above 1 within its uncertainty: a longer warm-up or a better clamp"
        )
    if estimates[Figure.DISCHARGE].value > HOT_DISCHARGE_K:
        return "so hot a discharge ages oil and hoses"
    return ""


def _assumed_problem(fluid: Fluid, given: Assumed) -> str:
    curve = fluid.curve
    if not curve.lowest_k <= given.evaporating_k < curve.critical_k:
        return f"there is no evaporating {fluid.name} at such a temperature"
    if given.condensing_k is None:
        return _cooler_problem(fluid, given)
    if given.condensing_k >= curve.critical_k:
        return (
            f"above its critical temperature {fluid.name} does not condense: give the gas cooler's pressure "
            "and outlet temperature instead"
        )
    if given.condensing_k <= given.evaporating_k:
        return "condensing is not warmer than evaporating: nothing is pumped uphill"
    if given.condensing_k - given.subcooling_k < given.evaporating_k:
        return "the liquid would leave the condenser colder than the evaporator: check the subcooling"
    return _share_problem(given)


def _cooler_problem(fluid: Fluid, given: Assumed) -> str:
    if given.cooler_pa is None or given.cooler_outlet_k is None:
        return "give the gas cooler's pressure and outlet temperature"
    if given.cooler_pa <= fluid.curve.critical_pa:
        return "below the critical pressure there is a condensing temperature: give that instead"
    if given.cooler_outlet_k <= given.evaporating_k:
        return "the gas cooler's outlet is not warmer than evaporating: nothing is pumped uphill"
    return _share_problem(given)


def _share_problem(given: Assumed) -> str:
    if given.superheat_k < 0.0 or given.subcooling_k < 0.0:
        return "superheat and subcooling are never negative in a cycle that is thought of"
    if not LEAST_EFFICIENCY <= given.isentropic_efficiency <= 1.0:
        return _NO_EFFICIENCY
    if not 0.0 <= given.exchanger_effectiveness <= 1.0:
        return "the effectiveness of an internal heat exchanger lies between 0 and 100 %"
    return ""


def _measured_problem(fluid: Fluid, given: Measured) -> str:
    curve = fluid.curve
    if given.low_pa >= given.high_pa:
        return "the low side does not lie below the high side: hoses or fields are swapped, or nothing pumps"
    if not curve.lowest_pa <= given.low_pa < curve.critical_pa:
        return f"there is no evaporating {fluid.name} at such a low side"
    if given.suction_k < curve.temperature_k(given.low_pa):
        return (
            "the suction line is not warmer than evaporating: wet gas has no measurable state, or the clamp "
            "or the port is wrong"
        )
    if given.high_pa < curve.critical_pa and given.liquid_k > curve.temperature_k(given.high_pa):
        return (
            "the liquid line is warmer than condensing: liquid and vapour together have no measurable state, "
            "or the clamp or the port is wrong"
        )
    return _hot_side_problem(fluid, given)


def _hot_side_problem(fluid: Fluid, given: Measured) -> str:
    condensing_k = fluid.curve.temperature_k(given.high_pa)
    if given.discharge_k is not None and given.discharge_k <= condensing_k:
        return "the discharge line is not warmer than condensing: its clamp reads too cold"
    if given.discharge_k is not None and given.discharge_k <= given.suction_k:
        return "the discharge line is not warmer than the suction line: clamps are swapped"
    outlet_k = given.evaporator_outlet_k
    if outlet_k is not None and outlet_k < fluid.curve.temperature_k(given.low_pa):
        return "the evaporator's outlet is not warmer than evaporating: wet gas has no measurable state"
    if not LEAST_EFFICIENCY <= given.isentropic_efficiency <= 1.0:
        return _NO_EFFICIENCY
    return ""
