"""Critical points, boiling points and vapour pressures of the refrigerants against publications."""

from __future__ import annotations

import pytest

from knowngood_refdata.refrigerants import saturation

ATMOSPHERE_PA = 101_325.0
PSI_PA = 6894.757293168

# Critical temperature [K] and pressure [kPa], boiling point [K] as given with each equation of state:
# Tillner-Roth and Baehr 1994; Lemmon and Akasaka 2022, table 1; Span and Wagner 1996 (R-744 has no boiling
# point at atmospheric pressure); Outcalt and McLinden 1996; Marx, Pruß and Wagner 1992.
POINTS = [
    ("R-134a", 374.21, 4059.28, 247.076),
    ("R-1234yf", 367.85, 3384.4, 243.692),
    ("R-744", 304.1282, 7377.3, None),
    ("R-152a", 386.411, 4516.75, 249.127),
    ("R-12", 385.12, 4136.1, 243.398),
]

# R-134a critical point elsewhere: IUPAC recommendation; a manufacturer's SI bulletin.
R134A_ELSEWHERE = [(374.18, 4055.0), (374.23, 4060.3)]

# Tillner-Roth and Baehr, J. Phys. Chem. Ref. Data 23 (1994) 657, table 8: temperature [K], pressure [MPa].
TILLNER_ROTH = [(200.0, 0.00631), (250.0, 0.11561), (300.0, 0.70282), (350.0, 2.4611), (374.0, 4.0416)]
PRINTED = {0.00631: 1e-5, 0.11561: 1e-5, 0.70282: 1e-5, 2.4611: 1e-4, 4.0416: 1e-4}

# Mechanical Engineers' Handbook, vol. 4, table 14, an older and independent fit: bar, °C.
HANDBOOK = [
    (1.0, -26.52), (1.5, -17.26), (2.0, -10.18), (2.5, -4.38), (3.0, 0.59), (4.0, 8.86), (5.0, 15.68),
    (6.0, 21.54), (8.0, 31.35), (10.0, 39.41), (12.0, 46.36),
]  # fmt: skip

# TREND 3.0, Ruhr-Universität Bochum 2016, the 2011 equation of state of R-1234yf: K, kPa. The 2022 equation,
# which our table follows, moves the pressure by up to 0.3 % below -10 °C and by 0.05 % above.
TREND = [
    (238.48125, 80.257), (256.96250, 175.477), (275.44375, 341.124), (293.92500, 605.173),
    (312.40625, 999.312), (330.88750, 1559.820), (349.36875, 2330.667),
]  # fmt: skip

# R-1234yf by the 2011 equation (Richter, McLinden and Lemmon, J. Chem. Eng. Data 56 (2011) 3254), computed
# with CoolProp 6.6, which agrees with TREND to 9 figures: °C, kPa, and by how much the 2022 equation, as
# CoolProp 8.0 has it, differs [%].
RICHTER = [
    (-40, 62.37, -0.271), (-30, 99.06, -0.125), (-20, 150.92, -0.042), (-10, 221.78, 0.001),
    (0, 315.82, 0.019), (10, 437.53, 0.023), (20, 591.72, 0.019), (25, 682.58, 0.017), (30, 783.51, 0.014),
    (40, 1018.39, 0.008), (50, 1302.32, 0.002), (60, 1641.88, -0.003), (70, 2044.54, -0.004),
    (80, 2519.44, 0.002), (90, 3080.33, 0.016),
]  # fmt: skip

# Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509, table 34: K, MPa.
SPAN = [
    (216.592, 0.51796), (240.0, 1.2825), (260.0, 2.4188), (280.0, 4.1607), (300.0, 6.7131), (304.0, 7.3555),
]  # fmt: skip

# R-152a by another equation (Tillner-Roth, Int. J. Thermophys. 16 (1995) 91) as printed in Krauss and others,
# Int. J. Thermophys. 17 (1996) 731, table VI; and by a third (Astina and Sato, Int. J. Thermophys. 25 (2004)
# 1713): K, MPa.
R152A_ELSEWHERE = [
    (240.0, 0.06642), (280.0, 0.33558), (320.0, 1.0883), (360.0, 2.7024), (300.0, 0.62958), (206.996, 0.01),
    (345.817, 2.0),
]  # fmt: skip

# CoolProp 8.0, saturation in US customary units: °F, psi absolute of R-134a and of R-1234yf.
US_UNITS = [
    (-40, 7.427, 9.021), (-20, 12.898, 15.067), (0, 21.171, 23.907), (20, 33.124, 36.312),
    (40, 49.741, 53.127), (60, 72.105, 75.271), (80, 101.387, 103.729), (100, 138.852, 139.565),
    (120, 185.863, 183.935), (140, 243.922, 238.127), (160, 314.729, 303.631), (180, 400.339, 382.334),
    (200, 503.588, 477.513),
]  # fmt: skip


@pytest.mark.parametrize(("name", "critical_k", "critical_kpa", "boiling_k"), POINTS)
def test_critical_and_boiling_point_are_the_published_ones(
    name: str, critical_k: float, critical_kpa: float, boiling_k: float | None
) -> None:
    curve = saturation(name)
    assert curve.critical_k == pytest.approx(critical_k, abs=0.003)
    assert curve.critical_pa / 1e3 == pytest.approx(critical_kpa, rel=3e-5)
    if boiling_k is not None:
        assert curve.temperature_k(ATMOSPHERE_PA) == pytest.approx(boiling_k, abs=0.001)


@pytest.mark.parametrize(("critical_k", "critical_kpa"), R134A_ELSEWHERE)
def test_r134a_has_the_critical_point_that_others_give(critical_k: float, critical_kpa: float) -> None:
    curve = saturation("R-134a")
    assert curve.critical_k == pytest.approx(critical_k, abs=0.05)
    assert curve.critical_pa / 1e3 == pytest.approx(critical_kpa, rel=0.0015)


def test_r1234yf_has_the_critical_point_that_was_seen() -> None:
    # Tanaka and Higashi, Int. J. Refrig. 33 (2010) 474, by the meniscus: 367.85 ± 0.01 K, 3382 ± 3 kPa.
    curve = saturation("R-1234yf")
    assert curve.critical_k == pytest.approx(367.85, abs=0.01)
    assert curve.critical_pa / 1e3 == pytest.approx(3382.0, abs=3.0)


def test_r744_begins_at_its_triple_point() -> None:
    # Span and Wagner 1996: 216.592 K, 0.51795 MPa (from memory).
    curve = saturation("R-744")
    assert curve.begins_at_triple_point
    assert curve.lowest_k == 216.592
    assert curve.lowest_pa / 1e6 == pytest.approx(0.51795, abs=2e-5)


@pytest.mark.parametrize(("temperature_k", "pressure_mpa"), TILLNER_ROTH)
def test_r134a_agrees_with_the_table_of_its_equation(temperature_k: float, pressure_mpa: float) -> None:
    found = saturation("R-134a").pressure_pa(temperature_k) / 1e6
    assert found == pytest.approx(pressure_mpa, abs=2 * PRINTED[pressure_mpa])


def test_r134a_boils_at_the_published_temperature_at_one_tenth_megapascal() -> None:
    # Tillner-Roth and Baehr 1994, table 8.
    assert saturation("R-134a").temperature_k(1e5) == pytest.approx(246.79, abs=0.02)


@pytest.mark.parametrize(("bar", "celsius"), HANDBOOK)
def test_r134a_agrees_with_an_older_handbook_within_its_own_differences(bar: float, celsius: float) -> None:
    assert saturation("R-134a").temperature_k(bar * 1e5) - 273.15 == pytest.approx(celsius, abs=0.2)


@pytest.mark.parametrize(("temperature_k", "kpa"), TREND)
def test_r1234yf_stays_within_the_known_shift_from_the_older_equation(
    temperature_k: float, kpa: float
) -> None:
    found = saturation("R-1234yf").pressure_pa(temperature_k) / 1e3
    assert found == pytest.approx(kpa, rel=0.003 if temperature_k < 263.15 else 0.0005)


@pytest.mark.parametrize(("celsius", "kpa", "shift_percent"), RICHTER)
def test_r1234yf_is_shifted_from_the_older_equation_exactly_as_the_newer_one_is(
    celsius: float, kpa: float, shift_percent: float
) -> None:
    found = 100.0 * (saturation("R-1234yf").pressure_pa(celsius + 273.15) / (kpa * 1e3) - 1.0)
    # The pressure is printed to 0.005 kPa, the shift to 0.0005 %.
    assert found == pytest.approx(shift_percent, abs=0.5 / kpa + 0.0006)


@pytest.mark.parametrize(("temperature_k", "pressure_mpa"), SPAN)
def test_r744_agrees_with_the_table_of_its_equation(temperature_k: float, pressure_mpa: float) -> None:
    digit = 1e-5 if pressure_mpa < 1.0 else 1e-4
    assert saturation("R-744").pressure_pa(temperature_k) / 1e6 == pytest.approx(pressure_mpa, abs=digit)


@pytest.mark.parametrize(("temperature_k", "pressure_mpa"), R152A_ELSEWHERE)
def test_r152a_agrees_with_two_other_equations(temperature_k: float, pressure_mpa: float) -> None:
    assert saturation("R-152a").pressure_pa(temperature_k) / 1e6 == pytest.approx(pressure_mpa, rel=0.002)


@pytest.mark.parametrize(("fahrenheit", "r134a_psia", "r1234yf_psia"), US_UNITS)
def test_pressures_in_us_units_are_those_on_record(
    fahrenheit: float, r134a_psia: float, r1234yf_psia: float
) -> None:
    kelvin = (fahrenheit - 32.0) / 1.8 + 273.15
    assert saturation("R-134a").pressure_pa(kelvin) / PSI_PA == pytest.approx(r134a_psia, abs=6e-4)
    assert saturation("R-1234yf").pressure_pa(kelvin) / PSI_PA == pytest.approx(r1234yf_psia, abs=6e-4)
