"""The routines under the events, held against annotated series that others have published."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_sessions.core.finding.kinks import fitted, shape
from knowngood_sessions.core.finding.lines import strongest_lines

if TYPE_CHECKING:
    from numpy.typing import NDArray

# Annual flow of the Nile at Aswan, 1871 to 1970, 1e8 m³: the data set `nile` of statsmodels and R.
NILE = """
1120 1160 963 1210 1160 1160 813 1230 1370 1140 995 935 1110 994 1020 960 1180 799 958 1140 1100 1210
1150 1250 1260 1220 1030 1100 774 840 874 694 940 833 701 916 692 1020 1050 969 831 726 456 824 702 1120
1100 832 764 821 768 845 864 862 698 845 744 796 1040 759 781 865 845 944 984 897 822 1010 771 676 649
846 812 742 801 1040 860 874 848 890 744 749 838 1050 918 986 797 923 975 815 1020 906 901 1170 912 746
919 718 714 740
"""

# Lynx trapped in the Mackenzie River district, 1821 to 1934 (Elton and Nicholson 1942; R's data set `lynx`).
LYNX = """
269 321 585 871 1475 2821 3928 5943 4950 2577 523 98 184 279 409 2285 2685 3409 1824 409 151 45 68 213
546 1033 2129 2536 957 361 377 225 360 731 1638 2725 2871 2119 684 299 236 245 552 1623 3311 6721 4254
687 255 473 358 784 1594 1676 2251 1426 756 299 201 229 469 736 2042 2811 4431 2511 389 73 39 49 59 188
377 1292 4031 3495 587 105 153 387 758 1307 3465 6991 6313 3794 1836 345 382 808 1388 2713 3800 3091 2985
3790 674 81 80 108 229 399 1132 2432 3574 2935 1537 529 485 662 1000 1590 2657 3396
"""


def series(text: str) -> NDArray[np.float64]:
    return np.array([float(one) for one in text.split()])


def test_the_surest_kink_in_the_flow_of_the_nile_is_that_of_1898() -> None:
    # G. W. Cobb, The problem of the Nile, Biometrika 65(2), 1978: the flow fell in 1898 and stayed low.
    flow = series(NILE)
    form = shape(1.0, 18, 14, range(1))
    at = np.arange(18, flow.size - 14)
    kinks = fitted(form, np.log(flow), at)
    sureness = np.abs(kinks.size) / kinks.error
    surest = int(np.argmax(sureness))
    assert 1871 + int(at[surest]) == 1898
    assert kinks.change[surest] < -0.2
    elsewhere = np.abs(1871 + at - 1898) > 8
    assert sureness[elsewhere].max() < 0.8 * sureness[surest]


def test_the_lynx_go_to_and_fro_every_nine_and_a_half_years() -> None:
    # M. J. Campbell and A. M. Walker, J. R. Statist. Soc. A 140, 1977: a period of 9.63 years (from memory).
    found = strongest_lines(np.log10(series(LYNX))[None, :], 4.0, 30.0)
    assert found.sure.all()
    assert found.period[0] == pytest.approx(9.63, abs=0.12)


def test_noise_that_remembers_itself_has_no_line() -> None:
    # First-order autoregressive noise, r = 0.7: by its spectrum no line stands out, whatever the seed.
    random = np.random.default_rng(7)
    series = random.normal(size=(400, 160))
    for i in range(1, series.shape[1]):
        series[:, i] += 0.7 * series[:, i - 1]
    assert strongest_lines(series[:, 100:], 4.0, 17.0).sure.mean() < 0.01
