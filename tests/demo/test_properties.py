"""The simulator's tables against published points and against CoolProp between their own points."""

import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood_demo.properties import FLUIDS, properties


@pytest.mark.parametrize(
    ("kelvin", "mega_pa", "liquid_density", "vapour_density", "latent_kj"),
    [
        (250.0, 0.11561, 1367.9, 5.9546, 384.60 - 169.57),
        (300.0, 0.70282, 1199.7, 34.193, 413.27 - 237.19),
        (350.0, 2.4611, 951.32, 140.99, 429.03 - 316.50),
    ],
)
def test_r134a_saturation_agrees_with_the_published_formulation(
    kelvin: float, mega_pa: float, liquid_density: float, vapour_density: float, latent_kj: float
) -> None:
    """Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, table 8."""
    state = properties("R-134a").saturated(kelvin)
    assert state.pressure_pa == pytest.approx(mega_pa * 1e6, rel=3e-4)
    assert state.liquid_density == pytest.approx(liquid_density, rel=3e-4)
    assert state.vapour_density == pytest.approx(vapour_density, rel=3e-4)
    assert state.vapour_h - state.liquid_h == pytest.approx(latent_kj * 1e3, rel=3e-4)


@settings(deadline=None, max_examples=60)
@given(
    name=st.sampled_from(sorted(FLUIDS)),
    saturation_k=st.floats(255.0, 345.0),
    above_h=st.floats(200.0, 80_000.0),
)
def test_superheated_vapour_between_table_points_stays_close_to_coolprop(
    name: str, saturation_k: float, above_h: float
) -> None:
    table = properties(name)
    pressure = table.saturated(saturation_k).pressure_pa
    dry_h = PropsSI("H", "P", pressure, "Q", 1, FLUIDS[name])
    given_state = ("P", pressure, "H", dry_h + above_h, FLUIDS[name])
    vapour = table.vapour(saturation_k, above_h)
    assert vapour.temperature_k == pytest.approx(PropsSI("T", *given_state), abs=0.2)
    assert vapour.density == pytest.approx(PropsSI("D", *given_state), rel=4e-3)
    assert vapour.entropy == pytest.approx(PropsSI("S", *given_state), abs=1.0)


@pytest.mark.parametrize("name", sorted(FLUIDS))
def test_the_isentropic_work_of_a_usual_cycle_agrees_with_coolprop(name: str) -> None:
    table = properties(name)
    low_k, high_k = 275.0, 325.0
    inlet = table.vapour(low_k, 5_000.0)
    pressure = PropsSI("P", "T", high_k, "Q", 1, FLUIDS[name])
    exact_h = PropsSI("H", "P", pressure, "S", inlet.entropy, FLUIDS[name])
    dry_h = PropsSI("H", "T", high_k, "Q", 1, FLUIDS[name])
    work = PropsSI("H", "T", high_k, "Q", 1, FLUIDS[name]) - table.saturated(low_k).vapour_h - 5_000.0
    assert table.isentrope(high_k, inlet.entropy) == pytest.approx(exact_h - dry_h, abs=0.01 * work)


@given(name=st.sampled_from(sorted(FLUIDS)), kelvin=st.floats(220.0, 360.0))
def test_saturation_temperature_undoes_saturation_pressure(name: str, kelvin: float) -> None:
    table = properties(name)
    assert table.saturation_k(table.saturated(kelvin).pressure_pa) == pytest.approx(kelvin, abs=1e-6)
