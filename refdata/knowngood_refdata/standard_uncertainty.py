"""Standard uncertainties out of what is stated of an instrument or an input: a limit, a class, a certificate.

After the Guide to the expression of uncertainty in measurement, JCGM 100:2008, clause 4.3 (type B).
"""

from __future__ import annotations

import math


def from_limit(limit: float) -> float:
    """Standard uncertainty of an error equally likely within ± limit: limit/√3 (JCGM 100:2008, 4.3.7).

    >>> round(from_limit(2.0), 4)
    1.1547
    """
    return limit / math.sqrt(3.0)


def from_triangle(limit: float) -> float:
    """Standard uncertainty of an error likelier near zero, within ± limit: limit/√6 (JCGM 100, 4.3.9).

    >>> round(from_triangle(2.0), 4)
    0.8165
    """
    return limit / math.sqrt(6.0)


def from_arcsine(amplitude: float) -> float:
    """Standard uncertainty of a value that swings as a sine by ± amplitude: amplitude/√2.

    JCGM 100:2008, H.1.3.4: ± 0.5 °C give 0.35 °C.

    >>> round(from_arcsine(0.5), 2)
    0.35
    """
    return amplitude / math.sqrt(2.0)


def from_class(class_percent: float, full_scale: float) -> float:
    """Standard uncertainty of an instrument whose limit is a class in percent of its full scale.

    Limit over √3 (JCGM 100:2008, 4.3.7); the class as in EN 837-1.

    >>> round(from_class(1.6, 10e5))
    9238
    """
    return from_limit(class_percent / 100.0 * full_scale)


def from_expanded(expanded: float, coverage_factor: float = 2.0) -> float:
    """Standard uncertainty of a certificate that states U with its k: U/k (JCGM 100:2008, 4.3.3).

    >>> from_expanded(75.0, 3.0)
    25.0
    """
    return expanded / coverage_factor
