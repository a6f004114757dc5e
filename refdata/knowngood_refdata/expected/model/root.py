"""The top of the tree: what all cars share, what traits add to it, and the level of each maker.

A family's coefficients are those of all cars plus those of each of its traits (compressor kind, metering
device) plus, for the level alone, its maker's. They are few, so one dense matrix holds them.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.elimination import Belief, Message

if TYPE_CHECKING:
    from knowngood_refdata.expected.model.nesting import Floats, Nesting, Places


@dataclass(frozen=True, slots=True)
class RootLayout:
    """Where each root coefficient lies.

    ``place`` (slots, d, families) tells which root coefficients add up to each coefficient of a family; the
    slots are: all cars, one a trait, the maker. ``size`` counts a last one that is always zero and stands
    where a slot adds nothing. ``flat`` (slots, slots, d, d, families), flattened, are the places in the
    root's precision. Families that agree in all slots are ``alike`` (families,); ``flat_alike`` are the
    places of one of each.
    """

    place: Places
    size: int
    makers: slice
    flat: Places
    alike: Places
    flat_alike: Places


def layout(nesting: Nesting, d: int) -> RootLayout:
    """Lay out: d coefficients of all cars, d for each group of each trait, one for each maker, a zero."""
    families = len(nesting.maker)
    each = np.arange(d)[:, None]
    slots = [np.broadcast_to(each, (d, families))]
    at = d
    for groups, of in zip(nesting.traits, nesting.blocks, strict=True):
        slots.append(at + d * of + each)
        at += d * groups
    makers = slice(at, at + nesting.makers)
    zero = makers.stop
    slots.append(np.where(each == 0, at + nesting.maker, zero))
    place = np.stack(slots)
    size = zero + 1
    flat = place[:, None, :, None] * size + place[None, :, None, :]
    key = np.vstack([nesting.maker, *nesting.blocks])
    _, first, alike = np.unique(key, axis=1, return_index=True, return_inverse=True)
    return RootLayout(place, size, makers, flat.reshape(-1), alike.reshape(-1), flat[..., first].reshape(-1))


@dataclass(frozen=True, slots=True)
class Root:
    """Posterior of the root: ``mean`` (size,), ``cov`` (size, size), and its prior ``variance`` (size,)."""

    mean: Floats
    cov: Floats
    variance: Floats


def solve_root(below: Message, place: RootLayout, variance: Floats) -> Root:
    """Join what all families say with the prior variances (size,) of the root's coefficients.

    The last one, the zero, has variance zero.
    """
    slots, d, families = place.place.shape
    size = place.size
    summed = _by_likes(below.precision.reshape(d * d, families), place)
    repeated = np.broadcast_to(summed, (slots * slots, *summed.shape))
    precision = np.bincount(place.flat_alike, repeated.reshape(-1), size * size).reshape(size, size)
    vectors = np.broadcast_to(below.vector, place.place.shape)
    vector = np.bincount(place.place.reshape(-1), vectors.reshape(-1), size)
    # Scaled by the prior deviations the matrix is never worse than one, even where a variance is zero.
    scale = np.sqrt(variance)
    scaled = np.eye(size) + scale[:, None] * precision * scale
    cov = scale[:, None] * np.linalg.inv(scaled) * scale
    cov = 0.5 * (cov + cov.T)
    return Root(cov @ vector, cov, variance)


def _by_likes(values: Floats, place: RootLayout) -> Floats:
    """Sums of values (k, families) over families that are alike."""
    count, rows = int(place.alike.max()) + 1, len(values)
    at = np.arange(rows)[:, None] * count + place.alike
    return np.asarray(np.bincount(at.reshape(-1), values.reshape(-1), rows * count).reshape(rows, count))


def belief_of_families(root: Root, place: RootLayout) -> Belief:
    """What the root says about the coefficients of each family."""
    mean = root.mean[place.place].sum(axis=0)
    cov = root.cov.reshape(-1)[place.flat]
    slots, d, families = place.place.shape
    return Belief(mean, cov.reshape(slots, slots, d, d, families).sum(axis=(0, 1)))
