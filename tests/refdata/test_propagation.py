"""General propagation of uncertainty against the worked examples of the guide."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.propagation import Input, propagate, propagate_several
from knowngood_refdata.records import Instruments
from knowngood_refdata.refrigerants import saturation, superheat_k
from knowngood_refdata.standard_uncertainty import from_arcsine, from_limit
from knowngood_refdata.uncertainty import (
    pressure_standard_uncertainty_pa,
    superheat_estimate,
    thermometer_standard_uncertainty_k,
)

if TYPE_CHECKING:
    from collections.abc import Callable

uncertainties = st.floats(0.01, 3.0)

# JCGM 100:2008, example H.1, in nanometres, 1/°C and °C; the inputs as set out in the documentation of the
# GUM Tree Calculator by the Measurement Standards Laboratory of New Zealand.
END_GAUGE = (
    Input("standard", 50_000_623.0, 25.0, 18),
    Input("difference", 215.0, 5.8, 24),
    Input("comparator, random", 0.0, 3.9, 5),
    Input("comparator, systematic", 0.0, 6.7, 8),
    Input("expansion", 11.5e-6, from_limit(2e-6)),
    Input("expansion difference", 0.0, from_limit(1e-6), 50),
    Input("temperature difference", 0.0, from_limit(0.05), 2),
    Input("mean temperature", -0.1, 0.2),
    Input("cyclic temperature", 0.0, from_arcsine(0.5)),
)


def end_gauge_nm(
    standard: float,
    difference: float,
    random: float,
    systematic: float,
    expansion: float,
    expansion_difference: float,
    temperature_difference: float,
    mean: float,
    cyclic: float,
) -> float:
    warmth = expansion_difference * (mean + cyclic) + expansion * temperature_difference
    return standard + difference + random + systematic - standard * warmth


# JCGM 100:2008, example H.2: voltage [V], current [A], phase [rad].
IMPEDANCE = (Input("V", 4.999, 0.0032), Input("I", 19.661e-3, 0.0095e-3), Input("phase", 1.04446, 0.00075))
IMPEDANCE_CORRELATIONS = {("V", "I"): -0.36, ("V", "phase"): 0.86, ("I", "phase"): -0.65}


def impedance_ohm(volt: float, ampere: float, phase: float) -> tuple[float, float, float]:
    size = volt / ampere
    return size * math.cos(phase), size * math.sin(phase), size


def test_the_end_gauge_of_the_guide_has_its_length_and_uncertainty() -> None:
    # JCGM 100:2008, H.1: 50 000 838 nm, 32 nm; 31.664 by hand.
    found = propagate(end_gauge_nm, END_GAUGE)
    assert found.value == pytest.approx(50_000_838.0, abs=0.5)
    assert round(found.standard_uncertainty) == 32
    assert found.standard_uncertainty == pytest.approx(31.664, abs=1e-3)


def test_the_components_of_the_end_gauge_are_those_of_the_guide() -> None:
    # JCGM 100:2008, table H.1, with the digits of the GUM Tree Calculator's documentation.
    found = {one.name: abs(one.contribution) for one in propagate(end_gauge_nm, END_GAUGE).components}
    expected = {
        "standard": 25.0,
        "temperature difference": 16.599,
        "comparator, systematic": 6.7,
        "difference": 5.8,
        "comparator, random": 3.9,
        "expansion difference": 2.88679,
        # The three whose sensitivity is nil at the nominal values.
        "expansion": 0.0,
        "mean temperature": 0.0,
        "cyclic temperature": 0.0,
    }
    assert found == pytest.approx(expected, abs=2e-3)


def test_the_standard_dominates_the_end_gauge() -> None:
    found = propagate(end_gauge_nm, END_GAUGE).dominating
    assert found.name == "standard"
    assert found.share == pytest.approx(25.0**2 / 31.664**2, abs=1e-4)


def test_the_end_gauge_has_sixteen_degrees_of_freedom_and_93_nm_at_99_percent() -> None:
    # JCGM 100:2008, H.1.6 (from memory): ν 16, k 2.92, U 93 nm, which is 2.92 times the rounded 32 nm.
    found = propagate(end_gauge_nm, END_GAUGE)
    assert found.degrees_of_freedom == pytest.approx(16.752, abs=2e-3)
    assert math.floor(found.degrees_of_freedom) == 16
    assert found.expanded(0.99) == pytest.approx(92.48, abs=0.01)
    k = found.expanded(0.99) / found.standard_uncertainty
    assert round(k, 2) == 2.92
    assert round(round(k, 2) * round(found.standard_uncertainty)) == 93


def test_second_order_terms_bring_the_end_gauge_to_34_nm() -> None:
    # JCGM 100:2008, H.1.7: terms of 11.7 and 1.7 nm, 34 nm in all; 33.807 by hand.
    first = propagate(end_gauge_nm, END_GAUGE)
    second = propagate(end_gauge_nm, END_GAUGE, second_order=True)
    assert round(second.standard_uncertainty) == 34
    assert second.standard_uncertainty == pytest.approx(33.807, abs=2e-3)
    added = math.sqrt(second.standard_uncertainty**2 - first.standard_uncertainty**2)
    assert added == pytest.approx(math.hypot(11.726, 1.667), abs=5e-3)


def test_the_impedance_of_the_guide_has_its_values_and_uncertainties() -> None:
    # Documentation of the GUM Tree Calculator, example H.2: 127.732 (0.070), 219.85 (0.30), 254.26 (0.24);
    # the further digits by hand.
    found = propagate_several(impedance_ohm, IMPEDANCE, IMPEDANCE_CORRELATIONS)
    assert found.values.round(2).tolist() == [127.73, 219.85, 254.26]
    assert found.standard_uncertainties.round(2).tolist() == [0.07, 0.30, 0.24]
    assert found.values == pytest.approx([127.73217, 219.84651, 254.25970], abs=5e-5)
    assert found.standard_uncertainties == pytest.approx([0.06998, 0.29572, 0.23660], abs=2e-5)


def test_the_outputs_of_the_impedance_are_correlated_as_in_the_guide() -> None:
    # Documentation of the GUM Tree Calculator, example H.2: -0.59, -0.49, 0.99.
    found = propagate_several(impedance_ohm, IMPEDANCE, IMPEDANCE_CORRELATIONS).correlation
    pairs = found[0, 1], found[0, 2], found[1, 2]
    assert [round(one, 2) for one in pairs] == [-0.59, -0.49, 0.99]
    assert pairs == pytest.approx((-0.5915, -0.4906, 0.9928), abs=2e-4)


@pytest.mark.parametrize("output", [0, 1, 2])
def test_one_output_alone_has_the_uncertainty_that_it_has_among_several(output: int) -> None:
    alone = propagate(lambda *given: impedance_ohm(*given)[output], IMPEDANCE, IMPEDANCE_CORRELATIONS)
    among = propagate_several(impedance_ohm, IMPEDANCE, IMPEDANCE_CORRELATIONS)
    assert alone.standard_uncertainty == pytest.approx(among.standard_uncertainties[output], rel=1e-9)


@pytest.mark.parametrize("name", ["R-134a", "R-1234yf"])
@pytest.mark.parametrize("bar", [1.2, 3.0, 6.0])
def test_superheat_has_the_uncertainty_of_the_quick_path(name: str, bar: float) -> None:
    curve, instruments, line_k = saturation(name), Instruments(), 290.0
    inputs = (
        Input("gauge", bar * 1e5, pressure_standard_uncertainty_pa(instruments.low)),
        Input("clamp", line_k, thermometer_standard_uncertainty_k(instruments.line)),
    )
    found = propagate(lambda pa, kelvin: superheat_k(curve, pa, kelvin), inputs)
    quick = superheat_estimate(curve, bar * 1e5, line_k, instruments)
    assert found.value == quick.value
    assert found.standard_uncertainty == pytest.approx(quick.standard_uncertainty, rel=1e-5)


def test_at_the_end_of_a_table_the_side_that_exists_gives_the_sensitivity() -> None:
    found = propagate(lambda x: 3.0 * x if x <= 1.0 else math.nan, [Input("x", 1.0, 0.2)])
    assert found.standard_uncertainty == pytest.approx(0.6)


@pytest.mark.parametrize("function", [lambda x: x**2, lambda x: x**3 - x], ids=["a parabola", "a cubic"])
def test_second_order_comes_nearer_to_what_drawn_errors_scatter(function: Callable[[float], float]) -> None:
    # The same question asked by drawing errors: JCGM 101:2008, clause 7.
    given = Input("x", 1.0, 0.15)
    drawn = np.random.default_rng(5).normal(given.value, given.standard_uncertainty, 400_000)
    scatter = float(np.std(function(drawn)))  # type: ignore[arg-type]
    first = propagate(function, [given]).standard_uncertainty
    second = propagate(function, [given], second_order=True).standard_uncertainty
    assert abs(second - scatter) < 0.3 * abs(first - scatter)


@given(u=st.tuples(uncertainties, uncertainties, uncertainties), at=st.tuples(*[st.floats(0.5, 5.0)] * 3))
def test_the_shares_add_up_to_one_and_the_squares_to_the_variance(
    u: tuple[float, float, float], at: tuple[float, float, float]
) -> None:
    inputs = [Input(name, value, own) for name, value, own in zip("abc", at, u, strict=True)]
    found = propagate(lambda a, b, c: a * b + c**2, inputs)
    assert sum(one.share for one in found.components) == pytest.approx(1.0)
    assert math.hypot(*(one.contribution for one in found.components)) == pytest.approx(
        found.standard_uncertainty
    )


@given(first=uncertainties, second=uncertainties, r=st.floats(-1.0, 1.0))
def test_a_difference_of_correlated_inputs_follows_the_rule_for_sums(
    first: float, second: float, r: float
) -> None:
    # u² = u1² + u2² - 2 r u1 u2, JCGM 100:2008, equation 16.
    found = propagate(lambda a, b: a - b, [Input("a", 7.0, first), Input("b", 4.0, second)], {("a", "b"): r})
    expected = first**2 + second**2 - 2.0 * r * first * second
    assert found.standard_uncertainty**2 == pytest.approx(expected, rel=1e-6, abs=1e-9)


def test_few_degrees_of_freedom_of_correlated_inputs_give_no_effective_number() -> None:
    inputs = [Input("a", 1.0, 0.1, 4), Input("b", 1.0, 0.1)]
    assert math.isnan(propagate(lambda a, b: a + b, inputs, {("a", "b"): 0.5}).degrees_of_freedom)
    assert propagate(lambda a, b: a + b, inputs).degrees_of_freedom == pytest.approx(16.0)


def test_an_input_known_exactly_brings_nothing_but_has_a_sensitivity() -> None:
    found = propagate(lambda a, b: a * b, [Input("a", 3.0, 0.1), Input("b", 5.0, 0.0)])
    assert found.components[1].contribution == 0.0
    assert found.components[1].sensitivity == pytest.approx(3.0)
    assert found.standard_uncertainty == pytest.approx(0.5)


@pytest.mark.parametrize("tiny", [0.0, 5e-324, 1e-200])
def test_a_value_that_all_but_vanishes_still_has_its_sensitivity(tiny: float) -> None:
    found = propagate(
        lambda a, b: 2.0 * a + b, [Input("a", tiny, tiny), Input("b", 1.0, 0.1)], second_order=True
    )
    assert found.components[0].sensitivity == pytest.approx(2.0)
    assert found.standard_uncertainty == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("correlations", "words"),
    [({("a", "z"): 0.5}, "does not name two"), ({("a", "b"): 1.5}, "between -1 and 1")],
)
def test_a_senseless_correlation_is_refused(correlations: dict[tuple[str, str], float], words: str) -> None:
    inputs = [Input("a", 1.0, 0.1), Input("b", 1.0, 0.1)]
    with pytest.raises(ValueError, match=words):
        propagate(lambda a, b: a + b, inputs, correlations)


def test_senseless_inputs_are_refused() -> None:
    with pytest.raises(ValueError, match="'a' is negative"):
        Input("a", 1.0, -0.1)
    with pytest.raises(ValueError, match="not above zero"):
        Input("a", 1.0, 0.1, 0)
    with pytest.raises(ValueError, match="same name"):
        propagate(lambda a, b: a + b, [Input("a", 1.0, 0.1), Input("a", 2.0, 0.1)])
    with pytest.raises(ValueError, match="independent inputs only"):
        propagate(lambda a: a, [Input("a", 1.0, 0.1)], {("a", "b"): 0.1}, second_order=True)
