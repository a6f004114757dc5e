"""Figures inside sentences that are kept in SI and read in the units of whoever reads them.

A figure stands in braces with its unit, ``high side still falls {62.1 kPa} a minute``: legible as it is, and
`said` puts it into other units.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from collections.abc import Callable

PATTERN = re.compile(r"\{(-?\d+(?:\.\d+)?) (kPa|K|rpm)\}")
KINDS = {
    "kPa": (Kind.PRESSURE, 1_000.0),
    "K": (Kind.TEMPERATURE_DIFFERENCE, 1.0),
    "rpm": (Kind.ROTATION, 1.0),
}


def pressure_figure(pascals: float) -> str:
    """A difference of pressures.

    >>> pressure_figure(62_053.0)
    '{62.1 kPa}'
    """
    return f"{{{pascals / 1_000.0:.1f} kPa}}"


def temperature_figure(kelvins: float) -> str:
    """A difference of temperatures.

    >>> temperature_figure(1.27)
    '{1.3 K}'
    """
    return f"{{{kelvins:.1f} K}}"


def speed_figure(rpm: float) -> str:
    """An engine speed, or a difference of two.

    >>> speed_figure(312.4)
    '{312 rpm}'
    """
    return f"{{{rpm:.0f} rpm}}"


def said(sentence: str, write: Callable[[float, Kind], str]) -> str:
    """A sentence with every figure as ``write`` gives it, from its value in SI (rpm as it is) and its kind.

    >>> said("low side swings by {12.0 kPa}", lambda value, kind: f"{value / 6_894.757:.1f} psi")
    'low side swings by 1.7 psi'
    """

    def figure(match: re.Match[str]) -> str:
        kind, factor = KINDS[match[2]]
        return write(float(match[1]) * factor, kind)

    return PATTERN.sub(figure, sentence)


def plainly(sentence: str) -> str:
    """A sentence with its figures in SI, without the braces.

    >>> plainly("low side swings by {12.0 kPa}")
    'low side swings by 12.0 kPa'
    """
    return PATTERN.sub(r"\1 \2", sentence)
