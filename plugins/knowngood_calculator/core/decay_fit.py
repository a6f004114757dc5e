"""Shapes laid through a rise of pressure: flat, straight, levelling off, levelling off onto a slope.

Air through a gap much smaller than the system streams in at a constant rate while the vacuum stays below
half the air pressure (choked flow), so a leak rises straight: p = p0 + r t. Water, or gas from the oil,
feeds the vacuum until it reaches its own vapour pressure: p = p∞ + a exp(-t/τ), a below zero. Pressure that
evens out along the hoses is a short rise of the second kind.

Each is linear but for τ, which is scanned. Models are compared by Akaike's criterion for small samples,
AICc = n ln(RSS/n) + 2k + 2k(k + 1)/(n - k - 1) (Hurvich and Tsai, Biometrika 76 (1989) 297, from memory),
with the noise of the gauge added to RSS/n so that rounding is not taken for a signal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

LONGEST_TAU = 30.0
"""Longest time constant tried, in hold lengths: a curve that slow is a straight line to any gauge."""

FEWEST_FOR_RAMP = 9
"""Four parameters and the scatter leave fewer readings nothing to say."""

_SCAN = 40
_FINE = 15
_PLAUSIBLE = 4.0
"""A τ is plausible while chi-square stays within 4 of its least: two standard deviations."""


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """One shape at its best.

    ``level`` [Pa] and ``rate`` [Pa/s] are those at the end of the hold, ``rate_uncertainty`` the standard
    uncertainty of the rate for the given noise; ``aicc`` is comparable between shapes on one hold.
    """

    level: float
    rate: float
    rate_uncertainty: float
    squares: float
    parameters: int
    aicc: float


@dataclass(frozen=True, slots=True)
class Plateau:
    """Where a levelling curve ends [Pa]: best value and the range that the readings allow."""

    best: float
    lowest: float
    highest: float


@dataclass(frozen=True, slots=True, eq=False)
class Shapes:
    """All shapes fitted to one hold.

    ``sloped`` is None when there are too few readings for it. ``noise`` is the scatter [Pa] around the best.
    """

    flat: Fit
    straight: Fit
    levelling: Fit
    sloped: Fit | None
    plateau: Plateau
    time_constant_s: float
    noise: float

    @property
    def best(self) -> Fit:
        """The shape with the least AICc."""
        return min(self._all, key=lambda fit: fit.aicc)

    @property
    def _all(self) -> tuple[Fit, ...]:
        fits = (self.flat, self.straight, self.levelling)
        return fits if self.sloped is None else (*fits, self.sloped)


def fit_shapes(times: NDArray[np.float64], pressures: NDArray[np.float64], least_noise: float) -> Shapes:
    """Fit every shape to a hold.

    Parameters
    ----------
    times, pressures
        Shape (n,) with n of 6 or more [s, rising; Pa].
    least_noise
        Scatter [Pa] that the gauge has in any case, from its last digit.
    """
    start = times - times[0]
    span = float(start[-1])
    shortest = max(span / 50.0, float(np.diff(times).min()) / 2.0)
    taus, levelling = _scanned(start, pressures, shortest, LONGEST_TAU * span)
    squares = np.array([fit.squares for fit in levelling])
    best = int(squares.argmin())
    flat, straight = _solve(_columns(start), pressures), _solve(_columns(start, sloped=True), pressures)
    candidates = [(flat, 1), (straight, 2), (levelling[best], 3)]
    ramp_tau = 0.0
    if len(times) >= FEWEST_FOR_RAMP and shortest < span / 3.0:
        ramp_taus, ramps = _scanned(start, pressures, shortest, span / 3.0, sloped=True)
        ramp = int(np.argmin([fit.squares for fit in ramps]))
        ramp_tau = float(ramp_taus[ramp])
        candidates.append((ramps[ramp], 4))
    noise = _noise(candidates, len(times), least_noise)
    criteria = [_aicc(fit.squares, len(times), count, least_noise) for fit, count in candidates]

    def described(index: int, tau: float | None, *, sloped: bool) -> Fit:
        solution, count = candidates[index]
        return _described(solution, start, tau, noise, count, criteria[index], sloped=sloped)

    return Shapes(
        flat=described(0, None, sloped=False),
        straight=described(1, None, sloped=True),
        levelling=described(2, float(taus[best]), sloped=False),
        sloped=described(3, ramp_tau, sloped=True) if len(candidates) > 3 else None,
        plateau=_plateau(levelling, squares, noise),
        time_constant_s=float(taus[best]),
        noise=noise,
    )


def bow_share(
    times: NDArray[np.float64], pressures: NDArray[np.float64], noise: float
) -> tuple[float, float]:
    """How far a rise bows off its chord, as a share of the rise, and the standard uncertainty of that.

    From a parabola p = a + b x + c x², x from 0 to 1: c / 4 over b + c. Both arrays of shape (n,); infinite
    when nothing rises.

    >>> times = np.linspace(0.0, 600.0, 30)
    >>> share, _ = bow_share(times, 300.0 - 250.0 * np.exp(-times / 600.0), 0.01)
    >>> round(share, 2)
    0.12
    """
    x = (times - times[0]) / (times[-1] - times[0])
    solution = _solve(np.column_stack([np.ones_like(x), x, x**2]), pressures)
    _, linear, square = solution.coefficients
    rise = linear + square
    if rise <= 0.0:
        return float("inf"), 0.0
    return float(abs(square) / 4.0 / rise), float(
        noise * np.sqrt(_inverse(solution.design)[2, 2]) / 4.0 / rise
    )


def _scanned(
    start: NDArray[np.float64],
    pressures: NDArray[np.float64],
    shortest: float,
    longest: float,
    *,
    sloped: bool = False,
) -> tuple[NDArray[np.float64], list[_Solution]]:
    """Time constants over a range, finer about the best, and what each gives."""
    coarse = np.geomspace(shortest, longest, _SCAN)
    tried = [_solve(_columns(start, tau, sloped=sloped), pressures) for tau in coarse]
    best = int(np.argmin([fit.squares for fit in tried]))
    low, high = coarse[max(best - 1, 0)], coarse[min(best + 1, _SCAN - 1)]
    fine = np.geomspace(low, high, _FINE)
    closer = [_solve(_columns(start, tau, sloped=sloped), pressures) for tau in fine]
    return np.concatenate([coarse, fine]), [*tried, *closer]


@dataclass(frozen=True, slots=True, eq=False)
class _Solution:
    coefficients: NDArray[np.float64]
    squares: float
    design: NDArray[np.float64]


def _columns(
    start: NDArray[np.float64], tau: float | None = None, *, sloped: bool = False
) -> NDArray[np.float64]:
    """Design matrix (n, k): level at the end of the hold first, then the slope, then the bend."""
    columns = [np.ones_like(start)]
    if sloped:
        columns.append(start - start[-1])
    if tau is not None:
        columns.append(np.exp(-start / tau))
    return np.column_stack(columns)


def _solve(design: NDArray[np.float64], pressures: NDArray[np.float64]) -> _Solution:
    scale = np.abs(design).max(axis=0)
    scaled = design / scale
    coefficients = np.linalg.lstsq(scaled, pressures, rcond=None)[0]
    left = pressures - scaled @ coefficients
    return _Solution(coefficients / scale, float(left @ left), design)


def _inverse(design: NDArray[np.float64]) -> NDArray[np.float64]:
    """Inverse of the normal matrix: times the noise squared, the covariance of the coefficients."""
    scale: NDArray[np.float64] = np.maximum(np.abs(design).max(axis=0), 1e-100)
    scaled = design / scale
    inverse: NDArray[np.float64] = np.linalg.pinv(scaled.T @ scaled) / np.outer(scale, scale)
    return inverse


def _noise(candidates: list[tuple[_Solution, int]], count: int, least_noise: float) -> float:
    """Scatter around the shape that fits best for its number of parameters."""
    variances = [fit.squares / (count - parameters) for fit, parameters in candidates]
    return float(np.hypot(np.sqrt(min(variances)), least_noise))


def _aicc(squares: float, count: int, shape: int, least_noise: float) -> float:
    parameters = shape + 1  # the scatter is a parameter too
    correction = 2.0 * parameters * (parameters + 1) / max(count - parameters - 1, 1)
    return float(count * np.log(squares / count + least_noise**2) + 2.0 * parameters + correction)


def _described(
    solution: _Solution,
    start: NDArray[np.float64],
    tau: float | None,
    noise: float,
    count: int,
    aicc: float,
    *,
    sloped: bool,
) -> Fit:
    design = _columns(start, tau, sloped=sloped)
    coefficients, inverse = solution.coefficients, _inverse(design)
    derivative = np.zeros(design.shape[1])
    if sloped:
        derivative[1] = 1.0
    rate = float(derivative @ coefficients)
    if tau is not None:
        bend, decayed, end = coefficients[-1], design[-1, -1], float(start[-1])
        derivative[-1] = -decayed / tau
        rate = float(derivative @ coefficients)
        # The time constant is a parameter like the others: its doubt adds to that of the rate.
        inverse = _inverse(np.column_stack([design, bend * start / tau**2 * design[:, -1]]))
        derivative = np.append(derivative, bend * decayed * (1.0 - end / tau) / tau**2)
    return Fit(
        level=float(design[-1] @ coefficients),
        rate=rate,
        rate_uncertainty=noise * math.sqrt(max(float(derivative @ inverse @ derivative), 0.0)),
        squares=solution.squares,
        parameters=count,
        aicc=aicc,
    )


def _plateau(levelling: list[_Solution], squares: NDArray[np.float64], noise: float) -> Plateau:
    plausible = squares <= squares.min() + _PLAUSIBLE * noise**2
    ends = np.array([fit.coefficients[0] for fit in levelling])
    bends = np.array([fit.coefficients[-1] for fit in levelling])
    # A curve that bends upwards has no plateau ahead: the end lies at any height.
    ends = np.where(bends < 0.0, ends, np.inf)
    best = float(ends[squares.argmin()])
    return Plateau(best, float(ends[plausible].min()), float(ends[plausible].max()))
