"""Limits of temperature probes that grow with the temperature."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_calculator.core.instruments import PROBES
from knowngood_calculator.core.probes import PROBE_CLASSES, ProbeClass, own_probe

BY_NAME = {one.name: one for one in PROBE_CLASSES}


@pytest.mark.parametrize(
    ("name", "celsius", "limit_k"),
    [
        # IEC 60584-1 (from memory): class 1 the larger of 1.5 °C and 0.004 |t|, for T of 0.5 °C; class 2 the
        # larger of 2.5 °C and 0.0075 |t|, for T of 1.0 °C.
        ("type K, class 1", 50, 1.5),
        ("type K, class 1", 500, 2.0),
        ("type K, class 2", 333, 2.5),
        ("type K, class 2", 400, 3.0),
        ("type J, class 1", 400, 1.6),
        ("type J, class 2", 400, 3.0),
        ("type T, class 1", 150, 0.6),
        ("type T, class 2", 50, 1.0),
        ("type T, class 2", 200, 1.5),
        # IEC 60751 (from memory): A 0.15 + 0.002 |t|, B 0.3 + 0.005 |t|.
        ("Pt100, class A", 0, 0.15),
        ("Pt100, class A", 100, 0.35),
        ("Pt100, class B", 100, 0.8),
        ("Pt100, class B", -40, 0.5),
    ],
)
def test_the_limits_of_the_standards(name: str, celsius: float, limit_k: float) -> None:
    assert BY_NAME[name].at(celsius + 273.15).limit_k == pytest.approx(limit_k)


@pytest.mark.parametrize("probe", PROBES, ids=lambda one: one.name)
def test_near_the_ice_point_a_class_is_the_probe_of_the_short_list(probe: object) -> None:
    assert any(one.at(293.15) == probe for one in PROBE_CLASSES)


@given(one=st.sampled_from(PROBE_CLASSES), near=st.floats(0.0, 100.0), further=st.floats(0.0, 100.0))
def test_no_limit_shrinks_away_from_the_ice_point(one: ProbeClass, near: float, further: float) -> None:
    assert one.limit_k(273.15 + near + further) >= one.limit_k(273.15 + near)


def test_outside_its_range_a_class_promises_nothing() -> None:
    with pytest.raises(ValueError, match="type T, class 1 is defined from -40 to 350 °C, not at 400 °C"):
        BY_NAME["type T, class 1"].at(673.15)


def test_a_clamp_of_ones_own_keeps_the_limit_entered() -> None:
    assert own_probe(0.7).limit_k == 0.7
    with pytest.raises(ValueError, match="never negative"):
        own_probe(-0.7)
