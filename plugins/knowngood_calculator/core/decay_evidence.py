"""What a hold shows of level, rate and shape, and the limits that these are held against."""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.quantities import ZERO_CELSIUS_K

from .decay_fit import Fit, Plateau, Shapes, bow_share, fit_shapes
from .decay_hold import FEWEST, Hold
from .decay_words import vacuum
from .evacuation import MICRON_PA

GOOD_PA = 1_000 * MICRON_PA
MOIST_PA = 2_000 * MICRON_PA
"""Levels after the hold: good up to the first, moisture up to the second (see above)."""

STEADY_PA_S = 100 * MICRON_PA / 600.0
STEADY_SHARE_S = 0.05 / 600.0
"""Steady is what moves in 10 min by less than a tenth of the band between the two levels, or by less than
5 % of the level, as a plateau follows the temperature of the water by 6 % a kelvin."""

FALLING_SHARE = 0.5
"""A closed system does not fall: half of what may still count as steady upwards is too much downwards."""

WATER_MARGIN = 1.1
"""Gauges of this kind are good to about 10 % (common practice, no source)."""

SCATTER_SHARE = 0.1
"""Readings that scatter by more than this share of their level are those of no sound gauge."""

HALF_ATMOSPHERE_PA = 50_000.0
"""Up to about here a leak is choked and its rate constant; beyond, it slows down as well."""

STRAIGHT_SHARE = 0.01
"""A rise that bows off its chord by less than this is straight: its speed changes by 8 %, no more than the
sensitivity of such a gauge along its range (common practice, no source)."""

BENT_SHARE = 0.08
"""A rise that may bow by more than this, two standard uncertainties on top, may be levelling off: its speed
would fall to half."""

LATER_SHARE = 0.6
"""Where the first part bends and the rest goes on, this last part of the hold is judged."""

_BENDS = 6.0
_BARELY = 2.0
"""Differences of AICc: 6 and more is strong evidence, 2 and less is none (Burnham and Anderson, Model
Selection and Multimodel Inference, 2nd edition, 2002, section 2.6, from memory)."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """A hold with the shapes laid through it, and the most that water can reach in it [Pa].

    ``end`` is the shape that tells level and rate at the end; ``bow`` how far the rise bows off its chord.
    """

    hold: Hold
    shapes: Shapes
    end: Fit
    bow: float
    bow_uncertainty: float
    water_pa: float
    coldest_k: float

    @property
    def level(self) -> float:
        """Pressure [Pa] at the end of the hold."""
        return self.end.level

    @property
    def band(self) -> float:
        """The rise [Pa/s] that still counts as steady."""
        return max(STEADY_PA_S, STEADY_SHARE_S * self.level)

    @property
    def highest_rate(self) -> float:
        """The fastest rise [Pa/s] at the end that the readings allow, with two standard uncertainties."""
        return self.end.rate + 2.0 * self.end.rate_uncertainty

    @property
    def lowest_rate(self) -> float:
        """The slowest one."""
        return self.end.rate - 2.0 * self.end.rate_uncertainty

    @property
    def above_water(self) -> bool:
        """Whether the level lies above what water of the coldest part can reach."""
        return self.level > WATER_MARGIN * self.water_pa

    @property
    def settles(self) -> bool:
        """Whether the curve bends towards a plateau."""
        return self.shapes.levelling.aicc < self.shapes.straight.aicc - _BENDS and not self.goes_straight

    @property
    def goes_straight(self) -> bool:
        """Whether the end is straight, and the readings are good enough to say so."""
        doubt = 2.0 * self.bow_uncertainty
        return self.bow <= max(STRAIGHT_SHARE, doubt) and self.bow + doubt <= BENT_SHARE

    @property
    def plateau(self) -> Plateau:
        """Where a levelling curve would end."""
        return self.shapes.plateau

    @property
    def water_words(self) -> str:
        """The most that water can reach, for the end of a sentence."""
        celsius = self.coldest_k - ZERO_CELSIUS_K
        return (
            f"{vacuum(self.water_pa)}, the most that water at {celsius:.0f} °C "
            f"({celsius * 1.8 + 32:.0f} °F) can reach"
        )


def gather(hold: Hold, water_pa: float, coldest_k: float) -> Evidence:
    """Lay every shape through a hold; where the start bends and the rest goes on, through the rest."""
    times, pressures = hold.times_s, hold.pressures_pa
    later = times - times[0] >= (1.0 - LATER_SHARE) * (times[-1] - times[0])
    shapes = fit_shapes(times, pressures, hold.least_noise_pa)
    bow = bow_share(times, pressures, shapes.noise)
    if shapes.best is shapes.sloped and later.sum() >= FEWEST:
        bow = bow_share(times[later], pressures[later], shapes.noise)
        times, pressures = times[later], pressures[later]
        shapes = fit_shapes(times, pressures, hold.least_noise_pa)
    return Evidence(hold, shapes, _end(shapes, float(times[-1] - times[0])), *bow, water_pa, coldest_k)


def _end(shapes: Shapes, length_s: float) -> Fit:
    """The shape that tells level and rate at the end: one that leaves room for a slope.

    A flat best fit would call its rate zero without doubt; so would a levelling one whose bend is long over.
    """
    best = shapes.best
    if best is shapes.flat:
        return shapes.straight
    if best is shapes.levelling and shapes.time_constant_s < length_s / 3.0 and shapes.sloped is not None:
        return shapes.sloped
    return best
