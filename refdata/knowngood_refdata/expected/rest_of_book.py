"""What the book teaches without readings that are in doubt, and how it judges them."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.expected.forecasting import aimed
from knowngood_refdata.expected.forecasts import Basis, Subject
from knowngood_refdata.expected.match import Point
from knowngood_refdata.expected.mistakes import Taken, celsius_of_fahrenheit, fahrenheit_of_celsius
from knowngood_refdata.expected.model.fitted import FEWEST, Fitted, fitted_without
from knowngood_refdata.expected.model.forecast import outlook
from knowngood_refdata.expected.model.modelled import STEADY
from knowngood_refdata.expected.model.outlook import Outlook
from knowngood_refdata.expected.scatter import Scatter, log_scatter, scatter
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.records import Reading

_DOUBTFUL = 3.0
"""An ambient is in doubt when a mistake of entry makes it e³ times as likely."""
_USUAL_K = 6.0
"""Ambients of a book scatter by no less (common practice, no source)."""
FREEDOM = 5.0
_BELOW = {Basis.UNIT: 2, Basis.CONFIGURATION: 3}
_BELOW_ALL = (2, 2, 3, 4, 5)
"""How many parts of an outlook are effects below the kin, for kin above: configuration and its slopes, car,
visit, reading."""
_ASKED = 12
"""No more readings of a group are asked."""
_QUANTITIES = (
    Quantity.EVAPORATING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.VENT,
)


def taken_rows(book: Book, rows: Places) -> Taken:
    """Some rows of a book as the model took them."""
    part = book.parts[0].rows
    air = [(part.readings[row].conditions.ambient_k, part.readings[row].conditions.intake_k) for row in rows]
    ambient, intake = np.array(air, dtype=float).reshape(-1, 2).T
    return Taken(part.values[:, rows], ambient, intake)


@dataclass(frozen=True)
class RestOfBook:
    """A book without readings in doubt: those ``apart`` (rows,) at any level, and of doubtful ambient."""

    book: Book
    apart: Mapping[str, NDArray[np.bool_]]

    @cached_property
    def ambient_k(self) -> Floats:
        """Ambient of all rows (n,), NaN where not recorded."""
        return taken_rows(self.book, np.arange(self.book.parts[0].rows.count)).ambient_k

    def log_ambient(self, ambient_k: Floats) -> Floats:
        """Log density of ambients (n,) among those of the book, up to a constant: Student's t."""
        middle = float(np.nanmedian(self.ambient_k)) if np.isfinite(self.ambient_k).any() else 0.0
        away = np.abs(self.ambient_k - middle)
        spread = max(1.4826 * float(np.nanmedian(away)), _USUAL_K) if np.isfinite(away).any() else _USUAL_K
        off = np.where(np.isfinite(ambient_k), ambient_k - middle, 0.0) / spread
        return np.asarray(-0.5 * (FREEDOM + 1.0) * np.log1p(off**2 / FREEDOM))

    @cached_property
    def foreign(self) -> NDArray[np.bool_]:
        """Of which rows the ambient is in doubt (n,)."""
        likelier = [
            self.log_ambient(mend(self.ambient_k)) - self.log_ambient(self.ambient_k)
            for mend in (celsius_of_fahrenheit, fahrenheit_of_celsius)
        ]
        return np.asarray(np.max(likelier, axis=0) > _DOUBTFUL)

    @cached_property
    def fits(self) -> dict[int, Fitted]:
        """What the other readings teach, by place in `STEADY`."""
        found, part = {}, self.book.parts[0]
        for n, model in enumerate(STEADY):
            kept = np.isfinite(part.rows.values[n]) & ~self.foreign & ~self._left_out
            if model in part.lessons and kept.sum() >= FEWEST:
                found[n] = fitted_without(n, part.rows, part.lessons[model], kept)
        return found

    @cached_property
    def _left_out(self) -> NDArray[np.bool_]:
        return np.asarray(np.any(list(self.apart.values()), axis=0))

    @cached_property
    def scatters(self) -> dict[int, Scatter]:
        """How all readings scatter, by place in `STEADY`."""
        fits = self.book.parts[0].fits
        return {n: scatter(fits[model]) for n, model in enumerate(STEADY) if model in fits}


@dataclass(frozen=True)
class ByRest:
    """Judges a group by the forecasts of a book without it, at the air that is tried."""

    rest: RestOfBook
    rows: Places
    _found: dict[bytes, Floats] = field(default_factory=dict, repr=False)

    def away(self, taken: Taken) -> Floats:
        """How far each reading asked is from what is expected of it (5, m); NaN where nothing is."""
        expected = self._expected(taken.ambient_k[self._asked], taken.intake_k[self._asked])
        return np.asarray(taken.values[:, self._asked] - expected)

    @cached_property
    def _asked(self) -> Places:
        """Places within the group, spread over all of it."""
        count = len(self.rows)
        return np.unique(np.linspace(0, count - 1, min(count, _ASKED)).astype(np.intp))

    def _expected(self, ambient_k: Floats, intake_k: Floats) -> Floats:
        """What the rest lets expect of each reading asked (5, m), at the air that is tried."""
        key = ambient_k.tobytes() + intake_k.tobytes()
        if key not in self._found:
            pairs = zip(ambient_k.tolist(), intake_k.tolist(), strict=True)
            columns = [self._of_reading(int(i), *air) for i, air in zip(self._asked, pairs, strict=True)]
            self._found[key] = np.array(columns).T
        return self._found[key]

    def _of_reading(self, i: int, ambient_k: float, intake_k: float) -> list[float]:
        subject, fits = self._subject(i, ambient_k, intake_k), self.rest.fits
        aims = {n: aimed(fit, subject, _QUANTITIES[n]).target for n, fit in fits.items()}
        found = {n: outlook(fits[n], aim).mean() + fits[n].frame.origin for n, aim in aims.items()}
        return [found.get(n, np.nan) for n in range(len(STEADY))]

    def _subject(self, i: int, ambient_k: float, intake_k: float) -> Subject:
        one: Reading = self.rest.book.parts[0].rows.readings[self.rows[i]]
        vehicle = self.rest.book.vehicles[one.vehicle_id]
        ambient, intake = (k if math.isfinite(k) else None for k in (ambient_k, intake_k))
        conditions = replace(one.conditions, ambient_k=ambient, intake_k=intake)
        point = Point(conditions, one.engine_rpm, one.fan_stage)
        return Subject(vehicle, one.unit_id, point)

    def log_density(self, place: int, off: float, width: float) -> float:
        """Log density of a group at a distance, up to a constant: Student's t, since tails are long.

        ``width`` widens the variance of what is usual.
        """
        variance = width * self._variance[place]
        return float(-0.5 * (np.log(variance) + (FREEDOM + 1.0) * np.log1p(off**2 / variance / FREEDOM)))

    def spread(self, place: int) -> float:
        """Standard deviation of the middle of the group; NaN where nothing is known."""
        return math.sqrt(self._variance.get(place, math.nan))

    @cached_property
    def _variance(self) -> dict[int, float]:
        """Variance of the middle of the group about what is expected, by place in `STEADY`."""
        middle = float(np.nanmedian(self.rest.ambient_k[~self.rest.foreign]))
        subject = self._subject(0, middle, middle)
        found = {}
        for n, fit in self.rest.fits.items():
            aim = aimed(fit, subject, _QUANTITIES[n])
            found[n] = self._of_group(outlook(fit, aim.target), _BELOW.get(aim.kin.basis, len(_BELOW_ALL)))
        return found

    def _of_group(self, ahead: Outlook, below: int) -> float:
        """The last parts of an outlook are effects below the kin: of many, as a group has, less is left."""
        codes = self.rest.book.parts[0].rows.codes[:, self.rows]
        nodes = [np.unique(codes[1:upto], axis=1).shape[1] for upto in _BELOW_ALL[:-1]]
        counts = np.array([*nodes, len(self.rows)][-below:])
        parts = np.array([Outlook((part,)).variance() for part in ahead.parts])
        return float(parts[:-below].sum() + (parts[-below:] / counts).sum())

    def log_air(self, taken: Taken) -> float:
        """Log density of the air that is tried."""
        return float(np.median(self.rest.log_ambient(taken.ambient_k)))

    def log_scatter(self, place: int, factor: float) -> float:
        """What the scatter of the group says about a factor that a mistake put on a quantity."""
        rows = self.rest.book.parts[0].rows
        at = self.rest.scatters[place]
        mine = np.isin(at.rows, self.rows)
        if at.cut[mine].any():
            return 0.0
        return log_scatter(at.off[mine] / at.spread[mine], rows.codes[3, at.rows[mine]], factor)
