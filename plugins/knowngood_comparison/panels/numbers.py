"""How numbers of the comparison are written and drawn."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood.formatting import MISSING
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood.formatting import Subject
    from knowngood.units import Units

MINUS = "\N{MINUS SIGN}"


def percent(share: float) -> str:
    """A share in percent with one digit, without the sign for percent.

    >>> percent(-0.0534)
    '−5.3'
    """
    return f"{round(100.0 * share, 1) + 0.0:.1f}".replace("-", MINUS)


def signed(text: str) -> str:
    """A number with a plus where it has no sign; a dash and zero stay as they are.

    >>> signed("3.2"), signed("−3.2"), signed("0.0")
    ('+3.2', '−3.2', '0.0')
    """
    plain = text == MISSING or text.startswith(MINUS) or not text.strip("0.")
    return text if plain else f"+{text}"


def in_units(
    values_si: NDArray[np.float64],
    what: Subject,
    units: Units,
    barometer_pa: float = STANDARD_ATMOSPHERE_PA,
) -> NDArray[np.float64]:
    """Values in SI, shape (n,), as the numbers of the units shown; a pressure as a gauge shows it."""
    shown = (units.value(float(one), what, barometer_pa=barometer_pa) for one in values_si)
    return np.fromiter(shown, dtype=np.float64, count=len(values_si))
