"""Readings entered in a wrong unit or place: the evidence of all quantities together.

A mistake of entry moves several quantities in a way that is known beforehand. Undone, all of them must come
back to where their kin let expect them. That is weighed against a group that simply stands apart: in each
quantity by itself, or as a whole, when all may be wide of it.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from scipy.special import logsumexp

from knowngood_refdata.expected.forecasting import model_of
from knowngood_refdata.expected.groups import groups_of
from knowngood_refdata.expected.mistakes import MISTAKES, USUAL, Entered, Mistake, Taken, entered, middles
from knowngood_refdata.expected.model.extract import curve_of
from knowngood_refdata.expected.model.modelled import STEADY
from knowngood_refdata.expected.model.strays import effects
from knowngood_refdata.expected.nodes import of_readings
from knowngood_refdata.expected.rest_of_book import ByRest, RestOfBook, taken_rows
from knowngood_refdata.expected.scatter import BELOW, scatter

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_refdata.expected.book import Book
    from knowngood_refdata.expected.forecasts import What
    from knowngood_refdata.expected.model.nesting import Floats, Places
    from knowngood_refdata.expected.model.strays import Effects
    from knowngood_refdata.refrigerants import SaturationCurve

ENTRY = 0.02
"""One group in fifty was entered wrongly (common practice, no source)."""
USUAL_PART = 0.5
"""The part of all mistakes that the usual kinds make (common practice, no source)."""
APART, WIDE = 0.003, 100.0
"""Three groups in a thousand stand apart as a whole, with ten times the usual deviations (common practice,
no source)."""
LIKELY = 0.5
"""A mistake is named when it is likelier than not."""
SEEN = 1.0
"""So many standard deviations off a quantity is named among those that show a mistake."""
STANDS_OFF = {"family": 2.0, "configuration": 2.5}
"""Nearer than so many standard deviations in all quantities nothing is looked at."""
_FEW = 0.3
"""More than so many groups of a level cannot be left out and still be judged by the rest."""
_FAR, _MOST = 3.5, 0.5
"""The same as `STANDS_OFF` for what is smaller; a group is in doubt when most of its readings are."""
_SMALL_K = 0.01
_IN_MOST = 0.6
"""A mistake of a group brings at least this part of its readings nearer to what is expected."""
_HOPELESS, _ALONE = 20.0, 0.02


def _priors() -> dict[Mistake, float]:
    """Log probability of each mistake: usual kinds take half, and so does the widest place of each kind."""
    kinds = Counter(one.what for one in MISTAKES)
    shares = {what: USUAL_PART / len(USUAL) for what in USUAL}
    rare = (1.0 - USUAL_PART) / (len(kinds) - len(USUAL))
    found = {}
    for one in MISTAKES:
        places = kinds[one.what]
        whole = one is next(other for other in MISTAKES if other.what == one.what)
        part = 1.0 if places == 1 else 0.5 / (1 if whole else places - 1)
        found[one] = float(np.log(ENTRY * shares.get(one.what, rare) * part))
    return found


PRIORS = _priors()


@dataclass(frozen=True, slots=True)
class Entry:
    """The likeliest mistake of entry of a group, and its probability.

    ``off`` and ``deviations`` (5,) tell how far the group is from what its kin let expect, plain and in
    standard deviations, NaN where nothing is known.
    """

    mistake: Mistake
    probability: float
    off: Floats
    deviations: Floats

    def touches(self, what: What) -> bool:
        """Whether a quantity, or an answer to engine speed, changes with it."""
        model = model_of(what)
        return model in self.mistake.touches or (self.mistake.sides and model not in STEADY)

    def shows(self, what: What) -> bool:
        """Whether it can be seen in a steady quantity: one standard deviation off, or the furthest off."""
        model = model_of(what)
        if model not in self.mistake.touches:
            return False
        touched = [float(self.deviations[STEADY.index(one)]) for one in self.mistake.touches]
        furthest = max((one for one in touched if np.isfinite(one)), default=np.inf)
        return float(self.deviations[STEADY.index(model)]) >= min(furthest, SEEN)


def entries(
    book: Book, level: str, among: Mapping[What, Effects], rest: RestOfBook, settled: NDArray[np.bool_]
) -> dict[tuple[What, int], Entry]:
    """The mistake of entry of each group that was likelier made than not, by quantity and node.

    Groups in doubt are judged by the ``rest`` of the book. ``settled`` (5, rows) tells of which readings a
    mistake is known that explains a quantity: groups of such alone are left out, and those found here are
    added in place. A visit or car of one reading is left to the readings.
    """
    found: dict[tuple[What, int], Entry] = {}
    for group in groups_of(book, level, among):
        alone = level in BELOW[:-1] and len(group.rows) == 1
        if alone or settled[:, group.rows].any(axis=0).all():
            continue
        air = bool(rest.foreign[group.rows].mean() > _MOST)
        if not air and rest.apart[level][group.rows].mean() <= _MOST:
            continue
        judge = ByRest(rest, group.rows)
        first = book.parts[0].rows.readings[group.rows[0]]
        curve = curve_of(book.vehicles[first.vehicle_id])
        entry = _likeliest(_Case(judge, taken_rows(book, group.rows), curve), air=air)
        if entry is not None:
            for one in entry.mistake.touches:
                settled[STEADY.index(one), group.rows] = True
            found |= {(what, n): entry for what, n in group.nodes.items() if entry.touches(what)}
    return found


def doubtful(book: Book) -> dict[str, NDArray[np.bool_]]:
    """For each level, of which rows of the book the group lies far off its kin."""
    levels = (*STANDS_OFF, *BELOW)
    found = {level: np.zeros(book.parts[0].rows.count, dtype=bool) for level in levels}
    for fit in book.parts[0].fits.values():
        one = scatter(fit)
        for level in BELOW:
            for readings in _split(of_readings(fit, level)):
                found[level][one.rows[readings]] |= one.of(readings)[1] > _FAR
        for level, deviations in STANDS_OFF.items():
            among, of = effects(fit, level), of_readings(fit, level)
            off = np.array([among.stands_off(number, deviations) for number in range(len(among.spread))])
            if off.mean() < _FEW:
                found[level][one.rows] |= off[of]
    return found


def _split(of: Places) -> list[Places]:
    order = np.argsort(of, kind="stable")
    return np.split(order, np.flatnonzero(np.diff(of[order])) + 1)


@dataclass(frozen=True)
class _Case:
    """A group with what its kin let expect; ``shown`` are the quantities that can be judged."""

    judge: ByRest
    taken: Taken
    curve: SaturationCurve

    @cached_property
    def away(self) -> Floats:
        """How far each reading is from what is expected of it (5, m)."""
        return self.judge.away(self.taken)

    @cached_property
    def off(self) -> Floats:
        """How far the group is (5,)."""
        return middles(self.away)

    @cached_property
    def deviations(self) -> Floats:
        """How far the group is from what is expected, in standard deviations (5,)."""
        return np.array([abs(off) / self.judge.spread(n) for n, off in enumerate(self.off.tolist())])

    @cached_property
    def shown(self) -> NDArray[np.intp]:
        return np.flatnonzero(np.isfinite(self.off))

    @cached_property
    def entered(self) -> Entered:
        return entered(self.taken, self.curve)

    @cached_property
    def beside(self) -> tuple[Taken, Entered]:
        """The middle of the group, and beside it a small step in each quantity."""
        middle = middles(self.taken.values)
        steps = _SMALL_K * np.column_stack([np.zeros(len(STEADY)), np.eye(len(STEADY))])
        air = middles(np.array([self.taken.ambient_k, self.taken.intake_k]))
        ambient, intake = np.repeat(air[:, None], len(STEADY) + 1, axis=1)
        taken = Taken(middle[:, None] + steps, ambient, intake)
        return taken, entered(taken, self.curve)

    def log_apart(self) -> float:
        """Log density of what was entered, had it been entered as it was read."""
        plain = [self.judge.log_density(n, float(self.off[n]), 1.0) for n in self.shown]
        wide = [self.judge.log_density(n, float(self.off[n]), WIDE) for n in self.shown]
        either = np.logaddexp(plain, wide) - np.log(2.0)
        log = np.logaddexp(np.log1p(-APART) + np.sum(plain), np.log(APART) + np.sum(either))
        return float(log) + self.judge.log_air(self.taken)

    def log_mistaken(self, one: Mistake, least: float) -> float:
        """The same, had a mistake been made; -inf where it cannot have been, or much less than ``least``."""
        mended = one.mended(self.taken, self.entered, self.curve)
        away = self.judge.away(mended)
        off = middles(away)
        if not np.isfinite(off[self.shown]).all() or not self._betters_most(away):
            return -np.inf
        usual = sum(self.judge.log_density(n, float(off[n]), 1.0) for n in self.shown)
        usual += self.judge.log_air(mended)
        return usual + self._log_stretched(one) if usual > least - _HOPELESS else -np.inf

    def _betters_most(self, away: Floats) -> bool:
        """Whether most readings come nearer to what is expected: a mistake of all is seen in each."""
        spread = np.array([self.judge.spread(int(n)) for n in self.shown])[:, None]
        before, after = (np.nansum(np.abs(each[self.shown]) / spread, axis=0) for each in (self.away, away))
        return bool((after < before).mean() >= _IN_MOST)

    def _log_stretched(self, one: Mistake) -> float:
        """What is due to a mistake stretching what is shown: how readings scatter, and the common measure."""
        values = one.mended(*self.beside, self.curve).values
        jacobian = ((values[:, 1:] - values[:, :1]) / _SMALL_K)[np.ix_(self.shown, self.shown)]
        sign, log = np.linalg.slogdet(jacobian) if np.isfinite(jacobian).all() else (0.0, 0.0)
        if not sign:
            return -np.inf
        own = np.diag(jacobian)
        alone = np.abs(jacobian - np.diag(own)).sum(axis=1) < _ALONE
        return float(log) + sum(
            self.judge.log_scatter(int(n), 1.0 / abs(float(factor)))
            for n, factor in zip(self.shown[alone], own[alone], strict=True)
            if abs(factor - 1.0) > _ALONE
        )


def _likeliest(case: _Case, *, air: bool) -> Entry | None:
    """The likeliest mistake, by what it is first and where it is then, when it is likelier than none."""
    touching = {STEADY[n] for n in case.shown}
    tried = [one for one in MISTAKES if (air or not one.air) and touching & set(one.touches)]
    if not tried:
        return None
    apart = np.log1p(-ENTRY) + case.log_apart()
    kinds = {one.what for one in tried}
    each = {one: PRIORS[one] + case.log_mistaken(one, apart) for one in tried}
    by_kind = {
        what: float(logsumexp([log for one, log in each.items() if one.what == what])) for what in kinds
    }
    what = max(by_kind, key=lambda kind: by_kind[kind])
    probability = float(np.exp(by_kind[what] - logsumexp([apart, *by_kind.values()])))
    best = max((one for one in tried if one.what == what), key=lambda one: each[one])
    return Entry(best, probability, case.off, case.deviations) if probability > LIKELY else None
