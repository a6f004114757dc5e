"""Questions that one column raises about another: gauge against saturation, a line against its pressure."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.records import Role
from knowngood_refdata.refrigerants import saturation

from .asked import Choice, Question
from .assignment import Special
from .at_rest import REFRIGERANTS, absolute_pa, at_rest
from .plausible import share_inside, thinned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from numpy.typing import NDArray

    from knowngood_refdata.logs import LogTable

    from .assignment import Assignment, ColumnMapping

_LINES = ((Role.SUCTION_LINE, Role.LOW_SIDE, 1.0), (Role.LIQUID_LINE, Role.HIGH_SIDE, -1.0))
_SPAN_K = (-12.0, 45.0)
"""Superheat and subcooling, errors of clamps included, lie in here while the system runs."""

_RUNNING = 1.4
_MOSTLY = 0.8
_SELDOM = 0.3
_FEWEST = 20


def cross_questions(table: LogTable, mapping: ColumnMapping) -> Iterator[Question]:
    """What the channels together contradict, where something else would fit."""
    question = _gauge_at_rest(table, mapping)
    if question is not None:
        yield question
        return
    for line, side, sign in _LINES:
        question = _line_unit(table, mapping, line, side, sign)
        if question is not None:
            yield question


def _gauge_at_rest(table: LogTable, mapping: ColumnMapping) -> Question | None:
    """Both sides stated as gauge that stand at rest where absolute ones would, or the other way round."""
    sides = {name: one for name, one in mapping.items() if one.use in (Role.LOW_SIDE, Role.HIGH_SIDE)}
    stated = {one.gauge for one in sides.values()}
    if len(sides) != 2 or len(stated) != 1 or None in stated or any(one.confirmed for one in sides.values()):
        return None
    rest = at_rest(table, mapping)
    gauge = stated.pop()
    if rest is None or rest.gauge is None or rest.gauge is gauge:
        return None
    fitting = {name: replace(one, gauge=not gauge, confirmed=True) for name, one in sides.items()}
    kept = {name: replace(one, confirmed=True) for name, one in sides.items()}
    was, would = ("gauge", "absolute") if gauge else ("absolute", "gauge")
    return Question(
        next(iter(sides)),
        f"{' and '.join(sides)} are taken as {was}. {rest.words} Do they count as {would}?",
        (Choice(f"Yes, {would}", fitting), Choice(f"No, {was} is right", kept)),
    )


def _line_unit(
    table: LogTable, mapping: ColumnMapping, line: Role, side: Role, sign: float
) -> Question | None:
    """A line temperature that its pressure contradicts, and that fits it in the other unit."""
    name, pressure = _only(mapping, line), _only(mapping, side)
    if name is None or pressure is None or mapping[name].confirmed:
        return None
    one = mapping[name]
    other = {"°C": "°F", "°F": "°C"}.get(one.unit)
    saturated_k = _saturated_k(table, mapping, pressure)
    if other is None or saturated_k is None:
        return None
    values = table.column(name).numbers
    as_stated, as_other = (_share_near(values, saturated_k, symbol, sign) for symbol in (one.unit, other))
    if as_stated > _SELDOM or as_other < _MOSTLY:
        return None
    if share_inside(values, line, other, Kind.TEMPERATURE, gauge=False) < _MOSTLY:
        return None
    right = replace(one, confirmed=True)
    what = "superheat" if sign > 0.0 else "subcooling"
    return Question(
        name,
        f"{name} in {one.unit} does not fit its pressure: the {what} would not be one. In {other} it "
        "would fit. In which unit is it?",
        (
            Choice(other, {name: replace(one, unit=other)}),
            Choice(f"{one.unit} is right", {name: right}),
            Choice("leave it out", {name: replace(one, use=Special.LEFT_OUT)}),
        ),
    )


def _only(mapping: ColumnMapping, role: Role) -> str | None:
    names = [name for name, one in mapping.items() if one.use is role]
    return names[0] if len(names) == 1 and mapping[names[0]].unit else None


def _saturated_k(table: LogTable, mapping: ColumnMapping, name: str) -> list[NDArray[np.float64]] | None:
    """Saturation temperatures (n,) of each refrigerant while the system runs, NaN elsewhere."""
    sides = [_only(mapping, role) for role in (Role.LOW_SIDE, Role.HIGH_SIDE)]
    if any(one is None for one in sides):
        return None
    try:
        low, high = (_absolute(table, mapping[one], one) for one in sides if one is not None)
        own = _absolute(table, mapping[name], name)
    except UnknownUnit:
        return None
    with np.errstate(invalid="ignore"):
        running = high > _RUNNING * low
    if int(running.sum()) < _FEWEST:
        return None
    return [np.where(running, saturation(fluid).temperature_k(own), np.nan) for fluid in REFRIGERANTS]


def _absolute(table: LogTable, one: Assignment, name: str) -> NDArray[np.float64]:
    return absolute_pa(table.column(name).numbers, one)


def _share_near(
    values: NDArray[np.float64], saturated_k: list[NDArray[np.float64]], symbol: str, sign: float
) -> float:
    """The share of values that give a superheat or subcooling in `_SPAN_K`, by the refrigerant that fits."""
    line_k = unit(symbol, Kind.TEMPERATURE).to_si(values)
    shares = []
    for each in saturated_k:
        off_k = thinned(sign * (line_k - each))
        off_k = off_k[np.isfinite(off_k)]
        shares.append(float(np.mean((off_k >= _SPAN_K[0]) & (off_k <= _SPAN_K[1]))) if off_k.size else 1.0)
    return max(shares)
