"""Where a fault takes a car from the healthy point that the book has: a lumped steady cycle in closed form.

Everything is a share of the healthy car's, or kelvins from it. With x the move of the evaporating
temperature and D the air above it, a coil takes the share c (1 - x / D) of its load, and no more than the
flow that passes valve and line. A compressor delivers a e^(k x) of its flow; where both are equal is found
by Wright's omega function. One that regulates holds its low side or its air as long as its stroke suffices.
Lumped conductances and a suction density that grows evenly are common practice, no source; the coefficients
are drawn, in `ways`.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto

import numpy as np
from numpy.typing import NDArray
from scipy.special import wrightomega

Vector = NDArray[np.float64]

LOWEST_K, HIGHEST_K = -16.0, 24.0
"""A low-pressure cut-out ends the fall of the evaporating temperature; warm air ends its rise."""
LEAST_SHARE = 0.05
_HEATER_K = 75.0
"""Coolant above the air that leaves the evaporator."""


class Stuck(Enum):
    """A stroke that answers to nothing."""

    LEAST = auto()
    FULL = auto()


@dataclass(frozen=True, slots=True)
class Altered:
    """What a fault changes, each a number or (ways,); what is not given is that of the healthy car.

    ``air``, ``conductance``, ``compressor`` are factors of evaporator air flow, of the condenser's
    conductance and of what the compressor delivers; ``flooded`` is the share of the condenser under liquid,
    ``flow_limit`` the most that passes valve and line, as a share of the healthy flow. ``charge_lost`` is a
    share of the charge. ``overfed`` is 1 for a valve that commonly stays open, ``heater`` the share of heated
    air, ``backs_up`` says that liquid waits before what limits the flow.
    """

    air: Vector | float = 1.0
    conductance: Vector | float = 1.0
    flooded: Vector | float = 0.0
    compressor: Vector | float = 1.0
    flow_limit: Vector | float = np.inf
    gas_k: Vector | float = 0.0
    charge_lost: Vector | float = 0.0
    overfed: Vector | float = 0.0
    set_point_k: Vector | float = 0.0
    heater: Vector | float = 0.0
    stuck: Stuck | None = None
    backs_up: bool = False


@dataclass(frozen=True, slots=True)
class Tube:
    """How an orifice tube answers, each (ways,): it passes what is pressed through, whatever the coil needs.

    ``by_high_per_k`` is the share that it passes more for each kelvin of the high side. What the coil cannot
    take stands in the accumulator: the others are kelvins for each e-fold too much, of the low side that
    rises, the superheat and the subcooling that fall.
    """

    by_high_per_k: Vector
    low_k: Vector
    superheat_k: Vector
    subcooling_k: Vector


@dataclass(frozen=True, slots=True)
class Nature:
    """How a car answers, each (ways,): exponents and rates of the lumped cycle."""

    coil_exponent: Vector
    density_per_k: Vector
    lift_per_k: Vector
    subcooling_per_charge: Vector
    starving: Vector
    drying: Vector
    backing_up: Vector
    droop: Vector
    liquid_follows: Vector
    overfeeding: Vector
    least_stroke: Vector
    slips: float = 0.0
    passes_more: Tube | None = None


@dataclass(frozen=True, slots=True)
class Healthy:
    """The healthy point of one window.

    Each (ways,): ``air_k``, the air above the evaporating temperature; ``cooled_k``, by how much it is
    cooled; ``margin``, the logarithm of what the compressor could deliver at full stroke as a share of what
    is needed, 0 where it works at full stroke; ``holds_air``, that it regulates the air and not the low side.
    """

    above_k: float
    superheat_k: float
    subcooling_k: float
    air_k: Vector
    cooled_k: Vector
    margin: Vector
    holds_air: NDArray[np.bool_]


def moved(healthy: Healthy, altered: Altered, nature: Nature) -> Vector:
    """What an alteration moves in the order of the signals, in kelvins, (ways, 5)."""
    taken, limit = _charge(healthy, altered, nature)
    conductance = altered.conductance * (1.0 - altered.flooded)
    coil = altered.air**nature.coil_exponent
    low = _low_side(healthy, altered, nature, coil, limit, conductance)
    offered = coil * np.maximum(1.0 - low / healthy.air_k, LEAST_SHARE)
    share = np.minimum(offered, limit)
    dry = 1.0 - share / offered
    above = healthy.above_k * share / conductance
    superheat = _superheat(healthy, altered, nature, low, share, dry)
    subcooling = _subcooling(healthy, altered, nature, (taken, share, above, dry))
    warmer = healthy.cooled_k * (1.0 - share / altered.air)
    warmer = warmer + altered.heater * (_HEATER_K - warmer)
    higher = above + altered.gas_k - healthy.above_k
    parts = (low, higher, superheat - healthy.superheat_k, subcooling - healthy.subcooling_k, warmer)
    moves = np.stack(np.broadcast_arrays(*parts), axis=-1)
    tube = nature.passes_more
    return moves if tube is None else moves + _accumulated(tube, higher, share, dry, superheat)


def _accumulated(tube: Tube, higher: Vector, share: Vector, dry: Vector, superheat: Vector) -> Vector:
    """What an orifice tube adds: too much for a coil that takes less, too little for one that takes more."""
    pressed = np.log1p(np.maximum(tube.by_high_per_k * higher, -0.5))
    too_much = np.where(dry > 0.0, 0.0, np.clip(pressed - np.log(share), -0.7, 1.0))
    drier = np.maximum(-tube.superheat_k * too_much, -np.maximum(superheat, 0.0))
    zero = np.zeros_like(drier)
    parts = (tube.low_k * too_much, zero, drier, -tube.subcooling_k * too_much, zero)
    return np.stack(parts, axis=-1)


def _charge(healthy: Healthy, altered: Altered, nature: Nature) -> tuple[Vector, Vector | float]:
    """Subcooling that lost charge takes, and the share of the flow that passes at most.

    What is lost first takes the liquid that stands in the condenser, then vapour reaches the valve; an
    orifice tube lets some slip at once.
    """
    lost = altered.charge_lost * nature.subcooling_per_charge
    taken = np.minimum(max(healthy.subcooling_k, 0.0), lost)
    short = np.maximum((lost - taken) / nature.subcooling_per_charge, nature.slips * altered.charge_lost)
    starved = np.where(short > 0.0, np.exp(-nature.starving * short), np.inf)
    return taken, np.minimum(altered.flow_limit, starved)


def _low_side(
    healthy: Healthy,
    altered: Altered,
    nature: Nature,
    coil: Vector,
    limit: Vector | float,
    conductance: Vector | float,
) -> Vector:
    hotter = healthy.above_k * (1.0 / conductance - 1.0) + altered.gas_k
    capacity = altered.compressor / (1.0 + nature.overfeeding * altered.overfed)
    capacity = capacity * np.exp(healthy.margin - nature.lift_per_k * hotter)
    if altered.stuck is Stuck.LEAST:
        capacity = capacity * nature.least_stroke
    at_stroke = balance(capacity, coil, limit, healthy.air_k, nature.density_per_k)
    if altered.stuck is not None:
        return at_stroke
    wanted = altered.air * (1.0 - altered.set_point_k / healthy.cooled_k)
    by_air = np.where(limit < wanted, LOWEST_K, healthy.air_k * (1.0 - wanted / coil))
    held = np.where(healthy.holds_air, by_air, altered.set_point_k)
    return np.where(healthy.margin > 0.0, np.maximum(held, at_stroke), at_stroke)


def balance(
    capacity: Vector, coil: Vector, limit: Vector | float, air_k: Vector, density_per_k: Vector
) -> Vector:
    """Move of the evaporating temperature at which the compressor takes what coil and valve give, (ways,).

    Solves ``capacity * exp(density_per_k * x) = min(coil * (1 - x / air_k), limit)``.
    """
    steep = density_per_k * air_k
    root = wrightomega(np.log(capacity / coil * steep) + steep)
    by_coil = air_k - root / density_per_k
    by_flow = np.log(np.maximum(limit, LEAST_SHARE) / capacity) / density_per_k
    kept: Vector = np.clip(np.minimum(by_coil, by_flow), LOWEST_K, HIGHEST_K)
    return kept


def _superheat(
    healthy: Healthy, altered: Altered, nature: Nature, low: Vector, share: Vector, dry: Vector
) -> Vector:
    """The valve holds it, a little less at little flow; a coil that runs dry brings it towards the air."""
    held = healthy.superheat_k * share**nature.droop * np.exp(-1.1 * altered.overfed)
    towards = np.maximum(healthy.air_k - low - held, 0.0)
    superheat: Vector = held + towards * (1.0 - np.exp(-nature.drying * dry))
    return superheat


def _subcooling(
    healthy: Healthy, altered: Altered, nature: Nature, at: tuple[Vector, Vector, Vector, Vector]
) -> Vector:
    """Liquid that backs up is cooled towards the ambient air; foreign gas shows as false subcooling."""
    taken, share, above, dry = at
    left = (healthy.subcooling_k - taken) * (1.0 + nature.liquid_follows * (share - 1.0))
    flooded = altered.flooded + (0.5 * dry if altered.backs_up else 0.0)
    backed_up = left + np.maximum(above - left, 0.0) * (1.0 - np.exp(-nature.backing_up * flooded))
    without_vapour: Vector = np.maximum(backed_up - altered.overfed, np.minimum(backed_up, 0.0))
    return without_vapour + 0.92 * altered.gas_k
