"""States of R-1234yf, R-744, R-152a and R-12 against publications and other equations of state."""

from __future__ import annotations

import pytest

from knowngood_refdata.states import fluid

R1234YF, R744, R152A, R12 = (fluid(name) for name in ("R-1234yf", "R-744", "R-152a", "R-12"))

# Molar mass [g/mol] and critical density [kg/m³] as given with each equation of state.
CONSTANTS = [("R-1234yf", 114.0416, 476.69), ("R-744", 44.0098, 467.6), ("R-152a", 66.051, 368.0)]
CONSTANTS += [("R-12", 120.913, 565.0)]

# TREND 3.0, Ruhr-Universität Bochum 2016, the 2011 equation of R-1234yf: K, density of liquid and of vapour.
TREND = [
    (238.48125, 1277.40, 4.8056), (256.96250, 1225.25, 10.0474), (275.44375, 1169.05, 19.0176),
    (293.92500, 1107.12, 33.5502), (312.40625, 1036.84, 56.5837), (330.88750, 953.07, 93.7293),
    (349.36875, 839.72, 159.5922),
]  # fmt: skip

# R-1234yf by the 2011 equation (Richter, McLinden and Lemmon, J. Chem. Eng. Data 56 (2011) 3254), computed
# with CoolProp 6.6, and by the 2022 equation as CoolProp 8.0 has it: °C; density of liquid, of vapour
# [kg/m³], enthalpy of liquid, of evaporation [kJ/kg], each by the older and by the newer.
RICHTER = [
    (-40, 1291.87, 1292.14, 3.795, 3.781, 151.07, 150.15, 185.51, 186.36),
    (-30, 1264.54, 1264.65, 5.855, 5.843, 162.81, 162.23, 180.51, 181.11),
    (-20, 1236.30, 1236.28, 8.709, 8.698, 174.87, 174.55, 175.18, 175.59),
    (-10, 1206.95, 1206.84, 12.56, 12.55, 187.26, 187.13, 169.46, 169.74),
    (0, 1176.29, 1176.12, 17.65, 17.63, 200.00, 200.00, 163.29, 163.48),
    (10, 1144.04, 1143.84, 24.27, 24.25, 213.10, 213.18, 156.60, 156.74),
    (20, 1109.86, 1109.67, 32.8, 32.77, 226.60, 226.71, 149.29, 149.42),
    (25, 1091.91, 1091.74, 37.92, 37.89, 233.50, 233.63, 145.37, 145.50),
    (30, 1073.30, 1073.14, 43.73, 43.68, 240.51, 240.65, 141.24, 141.38),
    (40, 1033.78, 1033.56, 57.75, 57.67, 254.90, 255.05, 132.27, 132.44),
    (50, 990.38, 989.92, 75.88, 75.75, 269.85, 270.02, 122.13, 122.32),
    (60, 941.34, 940.55, 99.75, 99.55, 285.53, 285.73, 110.40, 110.62),
    (70, 883.23, 882.46, 132.3, 132.0, 302.22, 302.45, 96.35, 96.59),
    (80, 808.98, 809.05, 180.3, 179.9, 320.54, 320.80, 78.36, 78.63),
    (90, 694.07, 695.94, 269.1, 268.8, 342.79, 343.04, 50.53, 50.80),
]

# Span and Wagner, J. Phys. Chem. Ref. Data 25 (1996) 1509, table 34: K; liquid density [kg/m³], enthalpy
# [kJ/kg], entropy [kJ/(kg K)]; the same of vapour. Enthalpy and entropy there count from the ideal gas.
SPAN = [
    (216.592, (1178.46, -426.74, -2.2177), (13.761, -76.364, -0.59999)),
    (240.0, (1088.87, -379.94, -2.0155), (33.295, -70.293, -0.72532)),
    (260.0, (998.89, -337.34, -1.8495), (64.417, -70.862, -0.82456)),
    (280.0, (883.58, -289.48, -1.6792), (121.74, -80.840, -0.93401)),
    (300.0, (679.24, -223.40, -1.4631), (268.58, -119.70, -1.1175)),
    (304.0, (530.30, -188.42, -1.3509), (406.42, -158.84, -1.2536)),
]
# The same, table 35, single phase: which, K, MPa, density, enthalpy, entropy.
SPAN_SINGLE = [
    ("liquid", 230.0, 1.0, 1128.97, -400.19, -2.1006),
    ("gas", 290.0, 5.0, 148.41, -81.892, -0.95959),
]

# The equations of R-152a differ from ours by up to 0.2 % in liquid, 1 % in vapour and 1.5 kJ/kg.
# R-152a by another equation (Tillner-Roth, Int. J. Thermophys. 16 (1995) 91) as printed in Krauss and others,
# Int. J. Thermophys. 17 (1996) 731, table VI: K, density of liquid and of vapour.
KRAUSS = [(240.0, 1029.6, 2.2736), (280.0, 943.16, 10.550), (320.0, 839.97, 34.202), (360.0, 694.46, 98.845)]

# R-152a by a third (Astina and Sato, Int. J. Thermophys. 25 (2004) 1713, table III): which, K, Pa, kg/m³,
# kJ/kg, kJ/(kg K). It too counts from 200 kJ/kg and 1 kJ/(kg K) at 0 °C.
ASTINA = [
    ("liquid", 200.0, 1e4, 1108.30, 83.0731, 0.504046), ("gas", 250.0, 1e5, 3.32533, 490.101, 2.17402),
    ("gas", 300.0, 5e5, 14.9178, 528.281, 2.12554), ("liquid", 250.0, 1e6, 1011.40, 162.066, 0.852079),
    ("gas", 450.0, 2e6, 39.2134, 703.818, 2.44002), ("gas", 450.0, 3e6, 62.4333, 692.526, 2.37021),
]  # fmt: skip


@pytest.mark.parametrize(("name", "molar_mass", "critical_density"), CONSTANTS)
def test_molar_mass_and_critical_density_are_the_published_ones(
    name: str, molar_mass: float, critical_density: float
) -> None:
    found = fluid(name)
    assert found.molar_mass_kg_mol * 1e3 == pytest.approx(molar_mass, abs=0.001)
    at_critical = found.saturated_liquid(found.curve.critical_pa)
    assert float(at_critical.density_kg_m3) == pytest.approx(critical_density, rel=2e-5)


@pytest.mark.parametrize(("kelvin", "liquid", "vapour"), TREND)
def test_r1234yf_densities_stay_within_the_known_shift_from_the_older_equation(
    kelvin: float, liquid: float, vapour: float
) -> None:
    pressure = R1234YF.curve.pressure_pa(kelvin)
    assert float(R1234YF.saturated_liquid(pressure).density_kg_m3) == pytest.approx(liquid, rel=0.001)
    assert float(R1234YF.saturated_vapour(pressure).density_kg_m3) == pytest.approx(vapour, rel=0.003)


@pytest.mark.parametrize(
    ("celsius", "old_liquid", "liquid", "old_vapour", "vapour", "old_h", "h", "old_latent", "latent"), RICHTER
)
def test_r1234yf_follows_the_equation_of_2022_and_no_longer_that_of_2011(
    celsius: float,
    old_liquid: float,
    liquid: float,
    old_vapour: float,
    vapour: float,
    old_h: float,
    h: float,
    old_latent: float,
    latent: float,
) -> None:
    pressure = R1234YF.curve.pressure_pa(celsius + 273.15)
    left, right = R1234YF.saturated_liquid(pressure), R1234YF.saturated_vapour(pressure)
    found = (
        float(left.density_kg_m3),
        float(right.density_kg_m3),
        float(left.enthalpy_j_kg) / 1e3,
        float(right.enthalpy_j_kg - left.enthalpy_j_kg) / 1e3,
    )
    assert found[0] == pytest.approx(liquid, abs=0.006)
    assert found[1] == pytest.approx(vapour, rel=0.0005)
    assert found[2] == pytest.approx(h, abs=0.006)
    assert found[3] == pytest.approx(latent, abs=0.006)
    # The shift of the evaporation enthalpy is more than ten times the last digit at every temperature.
    assert abs(found[3] - old_latent) > 0.1
    assert found[0] == pytest.approx(old_liquid, rel=0.003)
    assert found[1] == pytest.approx(old_vapour, rel=0.004)
    assert found[2] == pytest.approx(old_h, abs=1.0)


@pytest.mark.parametrize(("kelvin", "liquid", "vapour"), SPAN)
def test_r744_agrees_with_the_table_of_its_equation(
    kelvin: float, liquid: tuple[float, float, float], vapour: tuple[float, float, float]
) -> None:
    pressure = R744.curve.pressure_pa(kelvin)
    left, right = R744.saturated_liquid(pressure), R744.saturated_vapour(pressure)
    assert float(left.density_kg_m3) == pytest.approx(liquid[0], rel=2e-5)
    assert float(right.density_kg_m3) == pytest.approx(vapour[0], rel=5e-5)
    latent, parting = vapour[1] - liquid[1], vapour[2] - liquid[2]
    assert float(right.enthalpy_j_kg - left.enthalpy_j_kg) / 1e3 == pytest.approx(latent, abs=0.02)
    assert float(right.entropy_j_kg_k - left.entropy_j_kg_k) / 1e3 == pytest.approx(parting, abs=2e-4)
    # The two references differ by a constant; at the triple point it is found, elsewhere it must hold.
    triple = R744.saturated_liquid(R744.curve.lowest_pa)
    constant = float(triple.enthalpy_j_kg) / 1e3 - SPAN[0][1][1]
    assert float(left.enthalpy_j_kg) / 1e3 - constant == pytest.approx(liquid[1], abs=0.02)


@pytest.mark.parametrize(("phase", "kelvin", "mpa", "density", "enthalpy", "entropy"), SPAN_SINGLE)
def test_single_phase_states_of_r744_agree_with_the_table_of_its_equation(
    phase: str, kelvin: float, mpa: float, density: float, enthalpy: float, entropy: float
) -> None:
    state = (R744.liquid if phase == "liquid" else R744.gas)(mpa * 1e6, kelvin)
    triple = R744.saturated_liquid(R744.curve.lowest_pa)
    assert float(state.density_kg_m3) == pytest.approx(density, abs=0.01)
    rise = float(state.enthalpy_j_kg - triple.enthalpy_j_kg) / 1e3
    assert rise == pytest.approx(enthalpy - SPAN[0][1][1], abs=0.02)
    parting = float(state.entropy_j_kg_k - triple.entropy_j_kg_k) / 1e3
    assert parting == pytest.approx(entropy - SPAN[0][1][2], abs=2e-4)


@pytest.mark.parametrize(("kelvin", "liquid", "vapour"), KRAUSS)
def test_densities_of_r152a_agree_with_another_equation(kelvin: float, liquid: float, vapour: float) -> None:
    pressure = R152A.curve.pressure_pa(kelvin)
    assert float(R152A.saturated_liquid(pressure).density_kg_m3) == pytest.approx(liquid, rel=0.002)
    assert float(R152A.saturated_vapour(pressure).density_kg_m3) == pytest.approx(vapour, rel=0.01)


@pytest.mark.parametrize(("phase", "kelvin", "pascal", "density", "enthalpy", "entropy"), ASTINA)
def test_states_of_r152a_agree_with_a_third_equation(
    phase: str, kelvin: float, pascal: float, density: float, enthalpy: float, entropy: float
) -> None:
    state = (R152A.liquid if phase == "liquid" else R152A.gas)(pascal, kelvin)
    assert float(state.density_kg_m3) == pytest.approx(density, rel=0.003)
    assert float(state.enthalpy_j_kg) / 1e3 == pytest.approx(enthalpy, abs=1.5)
    assert float(state.entropy_j_kg_k) / 1e3 == pytest.approx(entropy, abs=0.004)


def test_r12_takes_up_the_evaporation_heat_in_the_handbooks() -> None:
    # At its boiling point: 165 kJ/kg (from memory, refrigeration handbooks; liquid 1.486 kg/L).
    boiling_k = 243.398
    pressure = R12.curve.pressure_pa(boiling_k)
    liquid, vapour = R12.saturated_liquid(pressure), R12.saturated_vapour(pressure)
    assert float(vapour.enthalpy_j_kg - liquid.enthalpy_j_kg) / 1e3 == pytest.approx(165.0, abs=2.0)
    assert float(liquid.density_kg_m3) == pytest.approx(1486.0, rel=0.005)
