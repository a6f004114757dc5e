"""The vapour-compression cycle of one refrigerant: its states, and what follows from them.

All functions work on single values and on arrays that broadcast against each other, so that a curve over
many temperatures is one call. SI throughout, pressures absolute; NaN where there is no such state.

The points follow the refrigerant: evaporator outlet, suction (compressor inlet), discharge, condenser
outlet, valve inlet, evaporator inlet. Without an internal heat exchanger evaporator outlet and suction are
one point, and so are condenser outlet and valve inlet.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.states import State

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.states import Fluid

    Values = float | NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cycle:
    """The states of a cycle, each with fields of one shape, and the figures that follow from them.

    Attributes
    ----------
    evaporator_outlet, suction, discharge, condenser_outlet, valve_inlet, evaporator_inlet
        The states, in the order in which the refrigerant passes them.
    discharge_isentropic
        Where a compression at constant entropy would end.
    compressor_heat_j_kg
        Heat that the compressor gives to the air around it, per kg of refrigerant.
    """

    evaporator_outlet: State
    suction: State
    discharge: State
    discharge_isentropic: State
    condenser_outlet: State
    valve_inlet: State
    evaporator_inlet: State
    compressor_heat_j_kg: Values = 0.0

    @property
    def capacity_j_kg(self) -> NDArray[np.float64]:
        """Heat taken up in the evaporator [J/kg]."""
        return self.evaporator_outlet.enthalpy_j_kg - self.evaporator_inlet.enthalpy_j_kg

    @property
    def work_j_kg(self) -> NDArray[np.float64]:
        """Work of the compressor [J/kg]: the rise of enthalpy, and the heat that it loses on the way."""
        return self.discharge.enthalpy_j_kg - self.suction.enthalpy_j_kg + self.compressor_heat_j_kg

    @property
    def heat_rejected_j_kg(self) -> NDArray[np.float64]:
        """Heat given off in the condenser or gas cooler [J/kg]."""
        return self.discharge.enthalpy_j_kg - self.condenser_outlet.enthalpy_j_kg

    @property
    def exchanged_j_kg(self) -> NDArray[np.float64]:
        """Heat passed on in the internal heat exchanger [J/kg]."""
        return self.suction.enthalpy_j_kg - self.evaporator_outlet.enthalpy_j_kg

    @property
    def cop(self) -> NDArray[np.float64]:
        """Coefficient of performance: heat taken up over work."""
        return self.capacity_j_kg / self.work_j_kg

    @property
    def volumetric_capacity_j_m3(self) -> NDArray[np.float64]:
        """Heat taken up per volume of gas that the compressor draws in [J/m³]."""
        return self.capacity_j_kg * self.suction.density_kg_m3

    @property
    def pressure_ratio(self) -> NDArray[np.float64]:
        """Discharge over suction pressure, both absolute."""
        return self.discharge.pressure_pa / self.suction.pressure_pa

    @property
    def isentropic_efficiency(self) -> NDArray[np.float64]:
        """Work at constant entropy over the rise of enthalpy; above 1 the points contradict each other."""
        ideal = self.discharge_isentropic.enthalpy_j_kg - self.suction.enthalpy_j_kg
        return ideal / (self.discharge.enthalpy_j_kg - self.suction.enthalpy_j_kg)

    @property
    def mass_flow_per_watt(self) -> NDArray[np.float64]:
        """Refrigerant to be moved per cooling power [kg/s per W]."""
        return 1.0 / self.capacity_j_kg

    def first(self) -> Cycle:
        """The first cycle of an array of them, its fields of shape ()."""
        values = ((one.name, getattr(self, one.name)) for one in fields(self))
        states: dict[str, Any] = {name: _first(one) for name, one in values if isinstance(one, State)}
        return replace(self, **states)

    @property
    def points(self) -> tuple[State, ...]:
        """The states around the cycle, closed, without those that are one with their neighbour."""
        return (
            self.evaporator_outlet,
            self.suction,
            self.discharge,
            self.condenser_outlet,
            self.valve_inlet,
            self.evaporator_inlet,
            self.evaporator_outlet,
        )


def assumed(
    fluid: Fluid,
    evaporating_k: Values,
    condensing_k: Values,
    *,
    superheat_k: Values = 0.0,
    subcooling_k: Values = 0.0,
    isentropic_efficiency: Values = 1.0,
    exchanger_effectiveness: Values = 0.0,
    suction_drop_pa: Values = 0.0,
) -> Cycle:
    """The cycle between two saturation temperatures.

    h2 = h1 + (h2s - h1) / efficiency; the valve keeps the enthalpy; the internal heat exchanger warms the
    suction gas by effectiveness times its distance from the liquid, and cools the liquid by as much heat.

    Parameters
    ----------
    evaporating_k, condensing_k
        Saturation temperatures in evaporator and condenser [K], below the critical one.
    superheat_k, subcooling_k
        At the outlets of evaporator and condenser [K], 0 or more.
    isentropic_efficiency
        Of the compressor, above 0 to 1.
    exchanger_effectiveness
        Of the internal heat exchanger, on the side of the gas, 0 (none) to 1.
    suction_drop_pa
        How far the pressure falls from the evaporator's outlet to the compressor [Pa].

    Notes
    -----
    Çengel and Boles, Thermodynamics, 5th edition, example 11-1: saturated at 0.14 MPa and 0.8 MPa, COP 3.97.

    >>> from knowngood_refdata.states import fluid
    >>> r134a = fluid("R-134a")
    >>> found = assumed(r134a, r134a.curve.temperature_k(0.14e6), r134a.curve.temperature_k(0.8e6))
    >>> round(float(found.cop), 2), round(float(found.capacity_j_kg) * 0.05)
    (3.97, 7184)
    """
    low_pa, high_pa = fluid.curve.pressure_pa(evaporating_k), fluid.curve.pressure_pa(condensing_k)
    outlet = fluid.gas(low_pa, evaporating_k + superheat_k)
    liquid = fluid.liquid(high_pa, condensing_k - subcooling_k)
    return _closed(
        fluid, outlet, liquid, high_pa, isentropic_efficiency, exchanger_effectiveness, suction_drop_pa
    )


def transcritical(
    fluid: Fluid,
    evaporating_k: Values,
    gas_cooler_pa: Values,
    gas_cooler_outlet_k: Values,
    *,
    superheat_k: Values = 0.0,
    isentropic_efficiency: Values = 1.0,
    exchanger_effectiveness: Values = 0.0,
    suction_drop_pa: Values = 0.0,
) -> Cycle:
    """The cycle of a refrigerant that gives off its heat above its critical pressure, as R-744 does.

    As `assumed`, with the gas cooler's pressure [Pa] and outlet temperature [K] in place of condensing.
    """
    low_pa = fluid.curve.pressure_pa(evaporating_k)
    outlet = fluid.gas(low_pa, evaporating_k + superheat_k)
    cooled = fluid.gas(gas_cooler_pa, gas_cooler_outlet_k)
    return _closed(
        fluid, outlet, cooled, gas_cooler_pa, isentropic_efficiency, exchanger_effectiveness, suction_drop_pa
    )


def measured(
    fluid: Fluid,
    *,
    low_pa: Values,
    suction_k: Values,
    high_pa: Values,
    liquid_k: Values,
    discharge_k: Values | None = None,
    isentropic_efficiency: Values = 1.0,
    evaporator_outlet_k: Values | None = None,
    evaporator_pa: Values | None = None,
    valve_inlet_k: Values | None = None,
    liquid_pa: Values | None = None,
    compressor_heat_j_kg: Values = 0.0,
) -> Cycle:
    """The cycle through measured points.

    Parameters
    ----------
    low_pa, suction_k
        At the compressor's inlet.
    high_pa, discharge_k
        At its outlet; without a temperature the efficiency gives it.
    liquid_k, liquid_pa
        Behind the condenser; without a pressure that of the high side.
    evaporator_outlet_k, evaporator_pa
        At the evaporator's outlet; without them it is one with the compressor's inlet.
    valve_inlet_k
        Before the expansion device; without it the liquid arrives as it left the condenser.

    Notes
    -----
    Çengel and Boles, example 11-2: 0.14 MPa and -10 °C, 0.8 MPa and 50 °C, liquid at 0.72 MPa and 26 °C give
    a COP of 3.93 and an isentropic efficiency of 0.939 (0.937 with the 1994 equation).

    >>> from knowngood_refdata.states import fluid
    >>> found = measured(fluid("R-134a"), low_pa=0.14e6, suction_k=263.15, high_pa=0.8e6,
    ...                  discharge_k=323.15, liquid_k=299.15, liquid_pa=0.72e6)
    >>> round(float(found.cop), 2), round(float(found.isentropic_efficiency), 3)
    (3.93, 0.937)
    """
    suction = fluid.gas(low_pa, suction_k)
    liquid_pa = high_pa if liquid_pa is None else liquid_pa
    ideal = fluid.at_entropy(high_pa, suction.entropy_j_kg_k)
    if discharge_k is None:
        discharge = _compressed(fluid, suction, ideal, isentropic_efficiency)
    else:
        discharge = fluid.gas(high_pa, discharge_k)
    outlet_pa = low_pa if evaporator_pa is None else evaporator_pa
    outlet = suction if evaporator_outlet_k is None else fluid.gas(outlet_pa, evaporator_outlet_k)
    liquid = _cooled(fluid, liquid_pa, liquid_k)
    valve_inlet = liquid if valve_inlet_k is None else _cooled(fluid, liquid_pa, valve_inlet_k)
    return Cycle(
        evaporator_outlet=outlet,
        suction=suction,
        discharge=discharge,
        discharge_isentropic=ideal,
        condenser_outlet=liquid,
        valve_inlet=valve_inlet,
        evaporator_inlet=fluid.at_enthalpy(outlet_pa, valve_inlet.enthalpy_j_kg),
        compressor_heat_j_kg=compressor_heat_j_kg,
    )


def mass_flow_kg_s(
    density_kg_m3: Values, displacement_m3: Values, compressor_rpm: Values, volumetric_efficiency: Values
) -> Values:
    """Refrigerant that a compressor moves [kg/s]: density, displacement, speed, volumetric efficiency.

    m = efficiency · density · displacement · speed. The displacement of a variable compressor is what its
    stroke leaves of it: at full stroke this is the most that it can move.

    >>> round(mass_flow_kg_s(15.0, 160e-6, 2000.0, 0.7), 3)
    0.056
    """
    return volumetric_efficiency * density_kg_m3 * displacement_m3 * compressor_rpm / 60.0


def _closed(
    fluid: Fluid,
    outlet: State,
    liquid: State,
    high_pa: Values,
    isentropic_efficiency: Values,
    exchanger_effectiveness: Values,
    suction_drop_pa: Values,
) -> Cycle:
    """The cycle from the outlets of evaporator and condenser."""
    suction_pa = outlet.pressure_pa - suction_drop_pa
    warmth_k = np.maximum(liquid.temperature_k - outlet.temperature_k, 0.0)
    # A pressure drop alone keeps the enthalpy; what the exchanger adds counts from there.
    arrived = fluid.at_enthalpy(suction_pa, outlet.enthalpy_j_kg)
    suction = fluid.gas(suction_pa, arrived.temperature_k + exchanger_effectiveness * warmth_k)
    exchanged = suction.enthalpy_j_kg - outlet.enthalpy_j_kg
    valve_inlet = fluid.at_enthalpy(high_pa, liquid.enthalpy_j_kg - exchanged)
    ideal = fluid.at_entropy(high_pa, suction.entropy_j_kg_k)
    return Cycle(
        evaporator_outlet=outlet,
        suction=suction,
        discharge=_compressed(fluid, suction, ideal, isentropic_efficiency),
        discharge_isentropic=ideal,
        condenser_outlet=liquid,
        valve_inlet=valve_inlet,
        evaporator_inlet=fluid.at_enthalpy(outlet.pressure_pa, valve_inlet.enthalpy_j_kg),
    )


def _first(state: State) -> State:
    return State(*(np.asarray(np.ravel(getattr(state, one.name))[0]) for one in fields(state)))


def _compressed(fluid: Fluid, suction: State, ideal: State, isentropic_efficiency: Values) -> State:
    rise = (ideal.enthalpy_j_kg - suction.enthalpy_j_kg) / isentropic_efficiency
    return fluid.at_enthalpy(ideal.pressure_pa, suction.enthalpy_j_kg + rise)


def _cooled(fluid: Fluid, pressure_pa: Values, temperature_k: Values) -> State:
    """Liquid below the critical pressure, dense fluid above it."""
    liquid, gas = fluid.liquid(pressure_pa, temperature_k), fluid.gas(pressure_pa, temperature_k)
    above = np.asarray(pressure_pa) > fluid.curve.critical_pa
    picked = {
        one.name: np.where(above, getattr(gas, one.name), getattr(liquid, one.name)) for one in fields(State)
    }
    return State(**picked)
