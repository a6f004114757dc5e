"""Readings as sorted arrays. The order in which they came leaves no trace."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.model.covariates import Covariate, with_wet_bulb
from knowngood_refdata.expected.model.stem import Stem, stem
from knowngood_refdata.expected.model.vehicles import ELECTRIC

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.expected.model.extract import Extract
    from knowngood_refdata.expected.model.nesting import Floats
    from knowngood_refdata.expected.model.vehicles import Place
    from knowngood_refdata.records import Reading

ANY_SPEED = float(np.log2(1500.0))
"""Engine speed of cars whose compressor is not driven by the engine: one and the same for all."""


@dataclass(frozen=True, slots=True)
class Rows:
    """One row a reading, sorted by place, unit, visit and time.

    Attributes
    ----------
    readings
        In the order of the rows.
    stem
        Vehicles, families and makers that have readings.
    codes
        (4, n): family and vehicle as the stem counts them, unit, visit.
    covariates
        (9, n), NaN where not recorded.
    values, stated
        (m, n): the modelled quantities and their standard uncertainties, NaN where not measured.
    """

    readings: tuple[Reading, ...]
    stem: Stem
    codes: NDArray[np.int64]
    covariates: Floats
    values: Floats
    stated: Floats

    @property
    def count(self) -> int:
        """How many rows there are."""
        return int(self.codes.shape[1])


def sorted_rows(extracted: Extract, place_of: Mapping[int, Place]) -> Rows:
    """Sort and count. Readings that agree in every key are told apart by what they show."""
    ids = np.unique(extracted.keys[0])
    upper = stem(place_of[int(number)] for number in ids)
    numbers = np.array([upper.number_of[int(number)] for number in ids], dtype=np.int64)
    vehicle = numbers[np.searchsorted(ids, extracted.keys[0])]
    unit, visit, at, ident = extracted.keys[1:]
    order = np.lexsort((*extracted.values, *extracted.raw[:1], ident, at, visit, unit, vehicle))
    return Rows(
        tuple(map(extracted.readings.__getitem__, order.tolist())),
        upper,
        np.vstack([upper.family[vehicle], vehicle, unit, visit])[:, order],
        _covariates(extracted.raw[:, order], vehicle[order], upper),
        extracted.values[:, order],
        extracted.stated[:, order],
    )


def _covariates(raw: Floats, vehicle: NDArray[np.int64], upper: Stem) -> Floats:
    covariates = with_wet_bulb(raw)
    electric = upper.blocks[0, upper.family[vehicle]] == ELECTRIC
    covariates[Covariate.ENGINE_SPEED, electric] = ANY_SPEED
    return covariates
