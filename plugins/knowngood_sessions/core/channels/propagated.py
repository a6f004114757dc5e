"""How sure worked-out channels are: each recorded one is moved by its uncertainty in turn."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Role
from knowngood_refdata.uncertainty import pressure_standard_uncertainty_pa, thermometer_standard_uncertainty_k

from .brought import work_out

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.records import Instruments

    from .brought import Rule

    Arrays = Mapping[str, NDArray[np.float64]]

_LINES = (Role.SUCTION_LINE, Role.LIQUID_LINE, Role.DISCHARGE_LINE)
_AIR = (Role.VENT, Role.AMBIENT, Role.INTAKE)


def standard_uncertainties(instruments: Instruments) -> dict[str, float]:
    """Standard uncertainty of one reading of each recorded channel, by role in SI.

    A role of which the instruments tell nothing, such as the engine speed, is left out and counts as exact.
    """
    line = thermometer_standard_uncertainty_k(instruments.line)
    air = thermometer_standard_uncertainty_k(instruments.air)
    return {
        Role.LOW_SIDE.value: pressure_standard_uncertainty_pa(instruments.low),
        Role.HIGH_SIDE.value: pressure_standard_uncertainty_pa(instruments.high),
        **{role.value: line for role in _LINES},
        **{role.value: air for role in _AIR},
    }


def propagated(rules: Sequence[Rule], recorded: Arrays, standard: Mapping[str, float]) -> Arrays:
    """Standard uncertainty of every channel that rules work out of recorded ones, (n,) by name in SI.

    u² is the sum over the recorded channels of (f(x + u(x)) - f(x - u(x)))²/4: JCGM 100:2008, 5.1.3, note 2.
    The channels have instruments of their own, so their errors are taken as independent. What a rule
    itself is unsure of is not in it.

    Parameters
    ----------
    recorded
        Recorded channels, (n,) by role in SI.
    standard
        Their standard uncertainty in SI; a channel that is not named counts as exact.
    """
    needed = {name for rule in rules for name in rule.needs}
    squares: dict[str, NDArray[np.float64]] = {}
    for name in needed & recorded.keys() & standard.keys():
        up, down = (_moved(rules, recorded, name, sign * standard[name]) for sign in (1.0, -1.0))
        for key in up.keys() & down.keys():
            square = np.square(0.5 * (up[key] - down[key]))
            squares[key] = square if key not in squares else squares[key] + square
    return {name: np.sqrt(square) for name, square in squares.items()}


def _moved(rules: Sequence[Rule], recorded: Arrays, name: str, by: float) -> Arrays:
    """The channels worked out when a recorded one reads more by so much."""
    found = work_out(rules, {**recorded, name: recorded[name] + by})
    return {one.name: one.values for one in found.channels if one.name not in recorded}
