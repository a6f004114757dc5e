"""What steady stretches hold: settled values with uncertainty, and how each quantity behaved."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Behaviour, Estimate, Quantity

from .digits import rounded_off
from .level import Levels, levels
from .settled import instrument_part, quantity_series

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_refdata.records import Instruments
    from knowngood_refdata.refrigerants import SaturationCurve
    from knowngood_sessions.core.channels.derive import Derived

    from .grid import Grid
    from .steady import Stretch

FEWEST_STEPS = 3
ENDS_S = 20.0
SIDES = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)
PRESSED = {"low_pa": Quantity.LOW_SIDE, "high_pa": Quantity.HIGH_SIDE}
MADE_OF = {
    Quantity.LOW_SIDE: {"low_pa": 1.0},
    Quantity.HIGH_SIDE: {"high_pa": 1.0},
    Quantity.EVAPORATING: {"low_pa": 1.0},
    Quantity.SUPERHEAT: {"suction_line_k": 1.0, "low_pa": -1.0},
    Quantity.SUBCOOLING: {"high_pa": 1.0, "liquid_line_k": -1.0},
    Quantity.CONDENSING_ABOVE_AMBIENT: {"high_pa": 1.0},
    Quantity.VENT: {"vent_k": 1.0},
}
"""The channels that each quantity is made of, and their signs; a pressure by its saturation temperature."""


@dataclass(frozen=True, slots=True)
class Measured:
    """A stretch with its settled values; ``scatter`` is each value's standard error, instrument left out."""

    stretch: Stretch
    engine_rpm: float | None
    values: Mapping[Quantity, Estimate]
    behaviour: Mapping[Quantity, Behaviour]
    scatter: Mapping[Quantity, float]


def measured(
    grid: Grid,
    derived: Derived,
    stretches: Sequence[Stretch],
    curve: SaturationCurve,
    instruments: Instruments,
) -> list[Measured]:
    """What each stretch of a grid holds, in the order given.

    A quantity of which values are missing in a stretch, or that has no saturation temperature there, is left
    out of it; behaviour takes three steps of the grid or more.

    Parameters
    ----------
    derived
        The samples from which the grid was made.
    """
    if not stretches:
        return []
    first = np.array([grid.index(one.start_s) for one in stretches], dtype=np.intp)
    last = np.array([grid.index(one.end_s) for one in stretches], dtype=np.intp)
    spans = np.array([(one.start_s, one.end_s) for one in stretches])
    on_grid = quantity_series(grid.derived(curve))
    ends = grid.steps(ENDS_S)
    found = {quantity: levels(series, first, last, ends) for quantity, series in on_grid.items()}
    nothing = np.full(first.size, np.nan)
    low, high = (
        found[side].mean if side in found else nothing for side in (Quantity.LOW_SIDE, Quantity.HIGH_SIDE)
    )
    samples = quantity_series(derived)
    found = _between_digits(found, derived, spans, curve)
    columns: dict[Quantity, list[tuple[Estimate, Behaviour | None, float] | None]] = {}
    for quantity, level in found.items():
        part = instrument_part(quantity, low, high, curve, instruments)
        spread = _spread(derived.time_s, samples[quantity], spans, level, grid.step_s)
        columns[quantity] = _column(level, part, spread, last - first + 1, grid.step_s)
    rpm = nothing if grid.engine_rpm is None else levels(grid.engine_rpm, first, last).mean
    return [
        _measured(one, float(rpm[i]), {quantity: column[i] for quantity, column in columns.items()})
        for i, one in enumerate(stretches)
    ]


def _between_digits(
    found: Mapping[Quantity, Levels],
    derived: Derived,
    spans: NDArray[np.float64],
    curve: SaturationCurve,
) -> dict[Quantity, Levels]:
    """The levels with what coarse displays rounded off put back, as far as the digits shown tell it."""
    rounded = rounded_off(derived, spans)
    if not rounded:
        return dict(found)
    levels_pa = {side: found[side].mean for side in PRESSED.values() if side in found}
    slope = {side: curve.slope_k_per_pa(level_pa) for side, level_pa in levels_pa.items()}
    mended = {}
    for quantity, level in found.items():
        mean, squares = level.mean, level.scatter**2
        for name, sign in MADE_OF.get(quantity, {}).items():
            if name in rounded:
                scale = sign * (slope[PRESSED[name]] if quantity not in SIDES and name in PRESSED else 1.0)
                mean = mean + scale * rounded[name].shift
                squares = squares + (scale * rounded[name].unsure) ** 2
        mended[quantity] = replace(level, mean=mean, scatter=np.sqrt(squares))
    return mended


def _measured(
    stretch: Stretch, rpm: float, held: Mapping[Quantity, tuple[Estimate, Behaviour | None, float] | None]
) -> Measured:
    known = {quantity: one for quantity, one in held.items() if one is not None}
    return Measured(
        stretch,
        rpm if np.isfinite(rpm) else None,
        {quantity: estimate for quantity, (estimate, _, _) in known.items()},
        {quantity: behaved for quantity, (_, behaved, _) in known.items() if behaved is not None},
        {quantity: scatter for quantity, (_, _, scatter) in known.items()},
    )


def _column(
    level: Levels,
    instrument: NDArray[np.float64],
    spread: NDArray[np.float64],
    steps: NDArray[np.intp],
    step_s: float,
) -> list[tuple[Estimate, Behaviour | None, float] | None]:
    """Estimate, behaviour and standard error of one quantity in each stretch; None where it is not known."""
    uncertainty = np.hypot(instrument, level.scatter)
    rows = zip(
        level.mean.tolist(),
        uncertainty.tolist(),
        level.scatter.tolist(),
        spread.tolist(),
        (level.drift / step_s).tolist(),
        (level.drift_error / step_s).tolist(),
        level.independent.tolist(),
        level.amplitude.tolist(),
        (level.period * step_s).tolist(),
        steps.tolist(),
        strict=True,
    )
    found: list[tuple[Estimate, Behaviour | None, float] | None] = []
    for mean, unsure, scatter, about, drift, drift_error, independent, amplitude, period, count in rows:
        if not np.isfinite(mean) or not np.isfinite(unsure):
            found.append(None)
            continue
        hunts = amplitude == amplitude
        behaviour = None
        if count >= FEWEST_STEPS:
            behaviour = Behaviour(
                about,
                Estimate(drift, drift_error),
                independent,
                amplitude if hunts else None,
                period if hunts else None,
            )
        found.append((Estimate(mean, unsure), behaviour, scatter))
    return found


def _spread(
    time_s: NDArray[np.float64],
    values: NDArray[np.float64],
    spans: NDArray[np.float64],
    level: Levels,
    step_s: float,
) -> NDArray[np.float64]:
    """Standard deviation of the samples about the straight line through each stretch, (k,)."""
    if time_s.size < 2 or float(np.median(np.diff(time_s[:1000]))) > 0.75 * step_s:
        return level.spread
    edges = np.searchsorted(time_s, spans + np.array([0.0, 1e-9])).astype(np.intp).reshape(-1)
    finite = np.isfinite(values)
    centre = float(values[finite].mean()) if finite.any() else 0.0
    off = np.concatenate([np.where(finite, values - centre, 0.0), [0.0]])
    count = np.add.reduceat(np.concatenate([finite, [False]]).astype(np.float64), edges)[::2]
    count = np.maximum(count, 1.0)
    mean = np.add.reduceat(off, edges)[::2] / count
    square = np.add.reduceat(off * off, edges)[::2] / count
    along = (level.drift / step_s * (spans[:, 1] - spans[:, 0])) ** 2 / 12.0
    found = np.sqrt(np.maximum(square - mean**2 - along, 0.0))
    return np.asarray(np.where(np.isfinite(found), found, level.spread))
