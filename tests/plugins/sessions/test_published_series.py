"""The routines on series that others have published, with what these found in them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.optimize import curve_fit

from knowngood_refdata.records import Role
from knowngood_sessions.core.channels.derive import Derived
from knowngood_sessions.core.finding.grid import grids, slow_noise
from knowngood_sessions.core.finding.kinks import fitted, shape
from knowngood_sessions.core.finding.level import levels
from knowngood_sessions.core.finding.settling import Settling, arrival
from knowngood_sessions.core.finding.trend import lag_one_autocorrelation

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Array = NDArray[np.float64]

# Annual flow of the Nile at Aswan, 1871 to 1970, in 10^8 m^3; public domain. G. W. Cobb, "The problem of the
# Nile: conditional solution to a changepoint problem", Biometrika 65 (1978) 243: the flow falls after 1898.
# The means before and after are 1097.75 and 849.97.
# fmt: off
NILE = np.array([
    1120, 1160, 963, 1210, 1160, 1160, 813, 1230, 1370, 1140, 995, 935, 1110, 994, 1020, 960, 1180, 799, 958,
    1140, 1100, 1210, 1150, 1250, 1260, 1220, 1030, 1100, 774, 840, 874, 694, 940, 833, 701, 916, 692, 1020,
    1050, 969, 831, 726, 456, 824, 702, 1120, 1100, 832, 764, 821, 768, 845, 864, 862, 698, 845, 744, 796,
    1040, 759, 781, 865, 845, 944, 984, 897, 822, 1010, 771, 676, 649, 846, 812, 742, 801, 1040, 860, 874,
    848, 890, 744, 749, 838, 1050, 918, 986, 797, 923, 975, 815, 1020, 906, 901, 1170, 912, 746, 919, 718,
    714, 740,
], dtype=float)
# fmt: on
NILE_FROM, NILE_LAST_BEFORE = 1871, 1898
NILE_BEFORE, NILE_AFTER = 1097.75, 849.97

# Deflections of a steel-concrete beam under a periodic load: NIST Statistical Reference Datasets, dataset Lew
# (public domain), with its certified values. The NIST/SEMATECH e-Handbook of Statistical Methods, section
# 1.4.2.5, fits a sinusoid of the frequency 0.302596 to it.
# fmt: off
LEW = np.array([
    -213, -564, -35, -15, 141, 115, -420, -360, 203, -338, -431, 194, -220, -513, 154, -125, -559, 92, -21,
    -579, -52, 99, -543, -175, 162, -457, -346, 204, -300, -474, 164, -107, -572, -8, 83, -541, -224, 180,
    -420, -374, 201, -236, -531, 83, 27, -564, -112, 131, -507, -254, 199, -311, -495, 143, -46, -579, -90,
    136, -472, -338, 202, -287, -477, 169, -124, -568, 17, 48, -568, -135, 162, -430, -422, 172, -74, -577,
    -13, 92, -534, -243, 194, -355, -465, 156, -81, -578, -64, 139, -449, -384, 193, -198, -538, 110, -44,
    -577, -6, 66, -552, -164, 161, -460, -344, 205, -281, -504, 134, -28, -576, -118, 156, -437, -381, 200,
    -220, -540, 83, 11, -568, -160, 172, -414, -408, 188, -125, -572, -32, 139, -492, -321, 205, -262, -504,
    142, -83, -574, 0, 48, -571, -106, 137, -501, -266, 190, -391, -406, 194, -186, -553, 83, -13, -577, -49,
    103, -515, -280, 201, 300, -506, 131, -45, -578, -80, 138, -462, -361, 201, -211, -554, 32, 74, -533,
    -235, 187, -372, -442, 182, -147, -566, 25, 68, -535, -244, 194, -351, -463, 174, -125, -570, 15, 72,
    -550, -190, 172, -424, -385, 198, -218, -536, 96,
], dtype=float)
# fmt: on
LEW_MEAN, LEW_DEVIATION, LEW_LAG_ONE = -177.435, 277.332168044316, -0.307304800605679
LEW_FREQUENCY = 0.302596


@pytest.mark.parametrize(("before", "after"), [(27, 60), (27, 40), (20, 40), (20, 30)])
def test_the_nile_takes_another_course_in_1898_wherever_the_search_begins(before: int, after: int) -> None:
    candidates = np.arange(max(before, 22), 36)
    kink = fitted(shape(1.0, before, after, range(-8, 9)), NILE, candidates)
    assert set((NILE_FROM + candidates + kink.onset).tolist()) == {NILE_LAST_BEFORE}
    # The line under the step takes a part of it; the step is as large as published within its error.
    assert np.all(np.abs(kink.size - (NILE_AFTER - NILE_BEFORE)) < 2.0 * kink.error)
    assert np.all(kink.size < -2.5 * kink.error)


@pytest.mark.parametrize("band", [70.0, 80.0, 90.0, 100.0])
def test_the_nile_has_arrived_at_its_later_level_from_1898_on(band: float) -> None:
    (grid,) = grids(Derived(np.arange(100.0), low_pa=NILE), spiky=False)
    settling = Settling(Role.LOW_SIDE, NILE, 0.0, band, None, slow_noise(NILE, quantile=0.25))
    assert NILE_FROM + arrival(grid, settling, 0, 99) == pytest.approx(NILE_LAST_BEFORE, abs=5)


def test_what_the_nile_brought_before_1898_does_not_pull_the_level_it_settled_at() -> None:
    found = levels(NILE, np.array([0]), np.array([99]))
    assert found.mean[0] == pytest.approx(NILE_AFTER, abs=found.scatter[0])
    # The mean of all years is off by more than the error allows.
    assert abs(NILE.mean() - NILE_AFTER) > 2.5 * found.scatter[0]
    assert np.isnan(found.amplitude[0])


def test_the_beam_deflections_have_their_certified_values() -> None:
    found = levels(LEW, np.array([0]), np.array([LEW.size - 1]))
    assert found.mean[0] == pytest.approx(LEW_MEAN, rel=1e-12)
    # The spread is that about a straight line, which has one more value to give away.
    assert found.spread[0] == pytest.approx(LEW_DEVIATION, rel=3e-3)
    assert lag_one_autocorrelation(LEW) == pytest.approx(LEW_LAG_ONE, abs=1e-12)


def test_the_beam_goes_to_and_fro_with_the_published_period_and_the_fitted_amplitude() -> None:
    found = levels(LEW, np.array([0]), np.array([LEW.size - 1]))
    assert 1.0 / found.period[0] == pytest.approx(LEW_FREQUENCY, rel=0.005)

    def sinusoid(x: Array, level: float, even: float, odd: float, frequency: float) -> Array:
        turn = 2.0 * np.pi * frequency * x
        return np.asarray(level + even * np.cos(turn) + odd * np.sin(turn))

    places = np.arange(LEW.size) - 0.5 * (LEW.size - 1)
    fit, _ = curve_fit(sinusoid, places, LEW, p0=[-178.0, 250.0, 250.0, LEW_FREQUENCY])
    assert found.amplitude[0] == pytest.approx(np.hypot(fit[1], fit[2]), rel=0.005)
    assert 1.0 / found.period[0] == pytest.approx(fit[3], rel=0.001)
