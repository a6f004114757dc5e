"""The lumped cycle: what it must hold whatever the car, and what published studies found."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from knowngood_checkup.core.explain.cycle import Altered, Healthy, Stuck, balance, moved
from knowngood_checkup.core.explain.evidence import SIGNALS, CarKind, Signal
from knowngood_checkup.core.explain.ways import COUNT, nature_of
from knowngood_refdata.records import CompressorKind, MeteringDevice

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Vector = NDArray[np.float64]

VALVE = nature_of(CarKind(CompressorKind.FIXED, MeteringDevice.EXPANSION_VALVE))
TUBE = nature_of(CarKind(CompressorKind.FIXED, MeteringDevice.ORIFICE_TUBE))


def healthy(margin: float = 0.0, *, holds_air: bool = False, subcooling_k: float = 8.0) -> Healthy:
    return Healthy(
        above_k=17.0,
        superheat_k=6.0,
        subcooling_k=subcooling_k,
        air_k=np.full(COUNT, 22.0),
        cooled_k=np.full(COUNT, 15.0),
        margin=np.full(COUNT, margin),
        holds_air=np.full(COUNT, holds_air),
    )


FULL_STROKE = healthy()
INTERNAL = healthy(0.8)
EXTERNAL = healthy(0.8, holds_air=True)


def of(moves: Vector, signal: Signal) -> Vector:
    found: Vector = moves[:, SIGNALS.index(signal)]
    return found


def middle(moves: Vector, signal: Signal) -> float:
    return float(np.median(of(moves, signal)))


@pytest.mark.parametrize("nature", [VALVE, TUBE])
@pytest.mark.parametrize("point", [FULL_STROKE, INTERNAL, EXTERNAL])
def test_where_nothing_is_altered_nothing_moves(point: Healthy, nature: object) -> None:
    moves = moved(point, Altered(), nature)  # type: ignore[arg-type]
    np.testing.assert_allclose(moves, 0.0, atol=1e-9)


@given(
    st.floats(0.3, 3.0),
    st.floats(0.3, 1.2),
    st.floats(0.3, 2.0),
    st.floats(8.0, 35.0),
    st.floats(0.02, 0.06),
)
def test_the_balance_is_the_root_of_its_equation(
    capacity: float, coil: float, limit: float, air_k: float, density: float
) -> None:
    # Against Brent's method of scipy on the equation as it is written.
    def off(x: float) -> float:
        return float(capacity * np.exp(density * x) - min(coil * (1.0 - x / air_k), limit))

    found = balance(np.array([capacity]), np.array([coil]), limit, np.array([air_k]), np.array([density]))
    if off(-16.0) >= 0.0:
        assert found[0] == -16.0
    elif off(24.0) <= 0.0:
        assert found[0] == 24.0
    else:
        assert found[0] == pytest.approx(brentq(off, -16.0, 24.0), abs=1e-6)


def test_air_in_the_system_raises_the_high_side_alone() -> None:
    # Published field test with 7.7 % of air: high side 165 to 200 psi (7.4 K of saturation temperature for
    # R-134a), low side 32 to 31 psi: it stays within a kelvin or two while the high side moves by several.
    moves = moved(FULL_STROKE, Altered(gas_k=7.4), VALVE)
    assert middle(moves, Signal.HIGH) == pytest.approx(7.4, abs=1.0)
    assert np.abs(of(moves, Signal.LOW)).max() < 2.5


def test_charge_shows_in_subcooling_first_then_in_superheat_and_hardly_in_the_suction() -> None:
    # Grace, Datta and Tassou 2005: superheat and subcooling depend strongly on charge, suction hardly.
    little, much = (moved(FULL_STROKE, Altered(charge_lost=lost), VALVE) for lost in (0.12, 0.35))
    assert middle(little, Signal.SUBCOOLING) < -4.0
    assert abs(middle(little, Signal.SUPERHEAT)) < 0.5
    assert abs(middle(little, Signal.LOW)) < 0.5
    assert middle(much, Signal.SUPERHEAT) > 4.0


def test_no_more_subcooling_is_lost_than_there_was() -> None:
    for had in (0.0, 2.0, 12.0):
        moves = moved(healthy(subcooling_k=had), Altered(charge_lost=0.5), VALVE)
        assert of(moves, Signal.SUBCOOLING).min() >= -had - 1e-9


@given(st.floats(0.0, 0.6), st.floats(0.4, 1.0))
def test_backed_up_liquid_is_never_colder_than_the_ambient_air(flooded: float, conductance: float) -> None:
    moves = moved(FULL_STROKE, Altered(flooded=flooded, conductance=conductance), VALVE)
    subcooling, above = (of(moves, one) + had for one, had in ((Signal.SUBCOOLING, 8.0), (Signal.HIGH, 17.0)))
    assert (subcooling <= above + 1e-9).all()


@given(st.floats(0.1, 1.2))
def test_the_suction_gas_is_never_warmer_than_the_air(limit: float) -> None:
    moves = moved(FULL_STROKE, Altered(flow_limit=limit, backs_up=True), VALVE)
    assert (of(moves, Signal.SUPERHEAT) + 6.0 <= 22.0 - of(moves, Signal.LOW) + 1e-9).all()


def test_what_lacks_capacity_stays_hidden_until_full_stroke() -> None:
    # Common practice, no source: a weak variable compressor reads as a good one while it regulates.
    weak = Altered(compressor=0.7)
    np.testing.assert_allclose(moved(INTERNAL, weak, VALVE), 0.0, atol=1e-9)
    open_stroke = moved(FULL_STROKE, weak, VALVE)
    assert middle(open_stroke, Signal.LOW) > 2.0
    assert middle(open_stroke, Signal.HIGH) < -1.0
    assert middle(open_stroke, Signal.VENT) > 1.0


def test_with_little_air_a_fixed_low_side_dives_and_one_that_serves_the_vent_rises() -> None:
    # Common practice, no source.
    little = Altered(air=0.6)
    assert middle(moved(FULL_STROKE, little, VALVE), Signal.LOW) < -2.0
    rises = moved(EXTERNAL, little, VALVE)
    assert middle(rises, Signal.LOW) > 2.0
    np.testing.assert_allclose(of(rises, Signal.VENT), 0.0, atol=1e-9)
    held = moved(INTERNAL, little, VALVE)
    np.testing.assert_allclose(of(held, Signal.LOW), 0.0, atol=1e-9)
    for moves in (rises, held):
        assert middle(moves, Signal.HIGH) < -2.0


def test_a_starved_car_that_wants_its_air_is_driven_to_a_low_suction() -> None:
    # Common practice, no source: an internal control lets it regulate instead.
    starved = Altered(flow_limit=0.5, backs_up=True)
    assert middle(moved(EXTERNAL, starved, VALVE), Signal.LOW) < -10.0
    np.testing.assert_allclose(of(moved(INTERNAL, starved, VALVE), Signal.LOW), 0.0, atol=1e-9)


def test_a_stroke_stuck_full_behaves_as_a_fixed_one_and_the_more_it_has_to_spare_the_more_it_dives() -> None:
    some, more = (
        middle(moved(healthy(margin), Altered(stuck=Stuck.FULL), VALVE), Signal.LOW) for margin in (0.3, 0.9)
    )
    assert more < some < -1.0
    least = moved(INTERNAL, Altered(stuck=Stuck.LEAST), VALVE)
    assert middle(least, Signal.LOW) > 8.0
    assert middle(least, Signal.HIGH) < -8.0


def test_an_orifice_tube_floods_a_coil_that_takes_less_and_a_valve_does_not() -> None:
    # Common practice, no source: a tube passes what is pressed through it, whatever the coil needs.
    little = Altered(air=0.6)
    tube, valve = (middle(moved(FULL_STROKE, little, one), Signal.SUPERHEAT) for one in (TUBE, VALVE))
    assert tube < valve - 1.0
    assert of(moved(FULL_STROKE, little, TUBE), Signal.SUPERHEAT).min() >= -6.0 - 1e-9


def test_a_valve_that_stays_open_takes_the_superheat() -> None:
    moves = moved(FULL_STROKE, Altered(overfed=1.0), VALVE)
    assert middle(moves, Signal.SUPERHEAT) < -3.0
    assert middle(moves, Signal.LOW) > 0.3


def test_heat_from_the_blend_door_warms_the_vent_alone() -> None:
    moves = moved(replace(INTERNAL), Altered(heater=0.08), VALVE)
    assert middle(moves, Signal.VENT) > 4.0
    for signal in set(Signal) - {Signal.VENT}:
        np.testing.assert_allclose(of(moves, signal), 0.0, atol=1e-9)
