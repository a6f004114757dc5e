"""CoolProp has the R-1234yf equation of 2022, with which our tables are made; older versions have not."""

from __future__ import annotations

import CoolProp
import pytest
from CoolProp.CoolProp import PropsSI

# Lemmon and Akasaka, Int. J. Thermophys. 43 (2022) 119, table 7: K, mol/dm³, MPa, cp and cv J/(mol K), m/s.
LEMMON = [
    (280.0, 11.0, 28.95760, 101.930, 139.307, 738.905),
    (280.0, 0.1, 0.2185345, 91.3497, 102.623, 141.882),
    (340.0, 8.0, 2.309798, 113.805, 195.748, 265.888),
    (340.0, 1.0, 1.855076, 113.479, 168.646, 114.354),
    (368.0, 4.2, 3.394716, 149.703, 48981.3, 76.3597),
]

# Kano, Kayukawa, Fujii and Sato, Int. J. Thermophys. 31 (2010) 2051, measured in the vapour: K, kPa, m/s.
SOUND = [
    (278.15, 25.443, 148.085), (278.15, 100.999, 145.514), (278.15, 300.476, 138.019),
    (293.15, 101.227, 149.719), (293.15, 401.237, 139.994), (308.15, 100.641, 153.786),
    (308.15, 398.917, 145.683), (323.15, 100.59, 157.639), (323.15, 401.339, 150.657),
    (338.15, 407.009, 155.227), (353.15, 401.296, 159.763),
]  # fmt: skip

# Perkins and Huber, J. Chem. Eng. Data 56 (2011) 4868, table 2, by the 2011 equation: K, MPa, kg/m³.
PERKINS = [(250.0, 0.05, 2.80006), (300.0, 0.1, 4.671553), (250.0, 20.0, 1299.50), (300.0, 20.0, 1182.05)]


@pytest.mark.parametrize(("kelvin", "mol_per_litre", "mpa", "cv", "cp", "speed"), LEMMON)
def test_it_reproduces_the_check_points_of_its_authors(
    kelvin: float, mol_per_litre: float, mpa: float, cv: float, cp: float, speed: float
) -> None:
    state = CoolProp.AbstractState("HEOS", "R1234yf")
    state.update(CoolProp.DmolarT_INPUTS, mol_per_litre * 1e3, kelvin)
    assert state.p() / 1e6 == pytest.approx(mpa, rel=5e-7)
    assert state.cvmolar() == pytest.approx(cv, rel=5e-6)
    assert state.cpmolar() == pytest.approx(cp, rel=5e-6)
    assert state.speed_sound() == pytest.approx(speed, rel=5e-6)


def test_it_has_the_published_ideal_gas_limit() -> None:
    # Lemmon and Akasaka 2022, table 7, the row of density zero at 280 K.
    state = CoolProp.AbstractState("HEOS", "R1234yf")
    state.update(CoolProp.DmolarT_INPUTS, 1e-6, 280.0)
    assert state.cvmolar() == pytest.approx(89.2037, abs=1e-4)
    assert state.cpmolar() == pytest.approx(97.5182, abs=1e-4)
    assert state.speed_sound() == pytest.approx(149.388, abs=1e-3)


@pytest.mark.parametrize(("kelvin", "kpa", "speed"), SOUND)
def test_it_has_the_measured_speed_of_sound(kelvin: float, kpa: float, speed: float) -> None:
    assert PropsSI("A", "T", kelvin, "P", kpa * 1e3, "R1234yf") == pytest.approx(speed, rel=3e-4)


@pytest.mark.parametrize(("kelvin", "mpa", "density"), PERKINS)
def test_its_densities_stay_near_those_of_the_older_equation(
    kelvin: float, mpa: float, density: float
) -> None:
    assert PropsSI("D", "T", kelvin, "P", mpa * 1e6, "R1234yf") == pytest.approx(density, rel=5e-4)
