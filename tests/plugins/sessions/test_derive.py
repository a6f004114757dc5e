"""From recorded channels to SI and to what follows from the saturation curve."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, UnknownUnit, unit
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_refdata.refrigerants import UnknownRefrigerant
from knowngood_sessions.core.channels.derive import derive

PSI = unit("psi", Kind.PRESSURE).factor
ONE_KELVIN_F = 5 / 9


def recording(*channels: tuple[Role, str, bool, float]) -> Recording:
    return Recording(
        np.array([0.0, 1.0]),
        tuple(Channel(role, role, name, gauge, np.array([x, np.nan])) for role, name, gauge, x in channels),
    )


def test_superheat_and_subcooling_follow_from_saturation_at_absolute_pressure() -> None:
    # R-134a at 292.80 kPa and 1,317.9 kPa has 0 and 50 °C: ASHRAE Handbook, Fundamentals, chapter 30,
    # R-134a saturation table (from memory).
    made = recording(
        (Role.LOW_SIDE, "kPa", False, 292.80),
        (Role.HIGH_SIDE, "kPa", False, 1317.9),
        (Role.SUCTION_LINE, "°C", False, 6.0),
        (Role.LIQUID_LINE, "°C", False, 42.0),
        (Role.AMBIENT, "°C", False, 30.0),
    )
    derived = derive(made, "R-134a", STANDARD_ATMOSPHERE_PA)
    assert derived.superheat_k is not None
    assert derived.subcooling_k is not None
    assert derived.condensing_above_ambient_k is not None
    assert derived.superheat_k[0] == pytest.approx(6.0, abs=0.05)
    assert derived.subcooling_k[0] == pytest.approx(8.0, abs=0.05)
    assert derived.condensing_above_ambient_k[0] == pytest.approx(20.0, abs=0.05)


def test_a_missing_sample_stays_missing_in_what_follows_from_it() -> None:
    made = recording((Role.LOW_SIDE, "psi", True, 30.0), (Role.SUCTION_LINE, "°F", False, 45.0))
    derived = derive(made, "R-134a", STANDARD_ATMOSPHERE_PA)
    assert derived.superheat_k is not None
    assert np.isnan(derived.superheat_k).tolist() == [False, True]


@given(st.floats(0.0, 400.0), st.floats(70e3, 105e3))
def test_a_gauge_counts_from_the_local_barometer(gauge_psi: float, barometer_pa: float) -> None:
    by_gauge = derive(recording((Role.HIGH_SIDE, "psi", True, gauge_psi)), "R-134a", barometer_pa)
    absolute_bar = (gauge_psi * PSI + barometer_pa) / 1e5
    absolute = derive(recording((Role.HIGH_SIDE, "bar", False, absolute_bar)), "R-134a", barometer_pa)
    assert by_gauge.high_pa is not None
    assert absolute.high_pa is not None
    assert by_gauge.high_pa[0] == pytest.approx(absolute.high_pa[0], rel=1e-12)


@given(st.floats(-20.0, 60.0), st.floats(-10.0, 30.0))
def test_superheat_is_the_same_whatever_unit_the_line_was_logged_in(line_c: float, shift: float) -> None:
    fahrenheit = (line_c + shift) * 9 / 5 + 32
    pair = [
        derive(recording((Role.LOW_SIDE, "bar", True, 2.0), (Role.SUCTION_LINE, *line)), "R-1234yf", 1e5)
        for line in (("°C", False, line_c + shift), ("°F", False, fahrenheit))
    ]
    assert pair[0].superheat_k is not None
    assert pair[1].superheat_k is not None
    assert pair[0].superheat_k[0] == pytest.approx(pair[1].superheat_k[0], abs=1e-9)


def test_above_the_critical_pressure_there_is_no_condensing_temperature() -> None:
    # Critical pressure of R-134a 4.059 MPa (Tillner-Roth and Baehr 1994, from memory).
    derived = derive(recording((Role.HIGH_SIDE, "MPa", False, 4.1)), "R-134a", STANDARD_ATMOSPHERE_PA)
    assert derived.condensing_k is not None
    assert np.isnan(derived.condensing_k[0])


def test_what_no_channel_measures_is_none() -> None:
    derived = derive(recording((Role.LOW_SIDE, "psi", True, 30.0)), "R-134a", STANDARD_ATMOSPHERE_PA)
    assert derived.high_pa is None
    assert derived.superheat_k is None
    assert derived.condensing_above_ambient_k is None
    assert derived.evaporating_k is not None


def test_a_unit_of_another_kind_is_refused_by_name() -> None:
    with pytest.raises(UnknownUnit, match="psi"):
        derive(recording((Role.SUCTION_LINE, "psi", False, 40.0)), "R-134a", STANDARD_ATMOSPHERE_PA)


def test_an_unknown_refrigerant_is_refused() -> None:
    with pytest.raises(UnknownRefrigerant):
        derive(recording((Role.LOW_SIDE, "psi", True, 30.0)), "R-000", STANDARD_ATMOSPHERE_PA)
