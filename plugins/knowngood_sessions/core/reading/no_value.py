"""Numbers that loggers write where there is no value: -999, 32767 and their like, far from all the rest."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

_WORDS = (2**15 - 1, -(2**15), 2**16 - 1, 2**16 - 2, 2**31 - 1, -(2**31), 2**32 - 1)
_SCALES = (1.0, 10.0, 100.0)
_NINES = (999.0, 9999.0, 99999.0, 999.9, 9999.9, -99.0, -99.9, -999.0, -9999.0, -99999.0, -999.9, -9999.9)
CODES = np.array(sorted({*_NINES, *(word / scale for word in _WORDS for scale in _SCALES)}))
"""All of them: rows of nines, and the ends of whole numbers of 16 and 32 bits, as they are and scaled.

Common practice, no source.
"""

_NEVER_MEASURED = 3000.0
_ALONE = 2.0


def without_codes(numbers: NDArray[np.float64]) -> tuple[NDArray[np.float64], tuple[float, ...]]:
    """The numbers (n,) with NaN for codes that stand for no value, and the codes that were met.

    A number of `CODES` counts as one when it lies further from the nearest other value than the others
    lie apart; where there are no others, when nothing in a car reads like that.

    >>> without_codes(np.array([30.1, -999.0, 30.3]))
    (array([30.1,  nan, 30.3]), (-999.0,))
    """
    finite = numbers[np.isfinite(numbers)]
    if finite.size == 0:
        return numbers, ()
    extremes = np.array([finite.min(), finite.max()])
    if not np.isin(extremes, CODES).any():
        return numbers, ()
    met: list[float] = np.unique(finite[np.isin(finite, CODES)]).tolist()
    others = finite[~np.isin(finite, met)]
    codes = tuple(code for code in met if _stands_for_nothing(code, others))
    if not codes:
        return numbers, ()
    cleaned = numbers.copy()
    cleaned[np.isin(numbers, codes)] = np.nan
    return cleaned, codes


def _stands_for_nothing(code: float, others: NDArray[np.float64]) -> bool:
    if others.size == 0:
        return abs(code) >= _NEVER_MEASURED or code in (-999.0, -999.9)
    low, high = float(others.min()), float(others.max())
    away = low - code if code < low else code - high
    return away > _ALONE * (high - low) and away > 0.5 * max(abs(low), abs(high))
