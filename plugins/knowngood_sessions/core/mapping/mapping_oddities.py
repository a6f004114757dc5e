"""What is physically odd about a mapping: nothing that must be answered, but worth a look."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Role

from .mapping_preview import SIDES, as_si
from .odd_units import OTHER_TEMPERATURE, Oddity, Surroundings, Writer
from .odd_values import LEVEL_PA, odd_values
from .plausible import share_inside, thinned

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_sessions.core.reading.reader import LogTable

    from .assignment import Assignment, ColumnMapping
    from .mapping_preview import Preview

_OFTEN = 0.05
_BETTER_SHARE, _POOR_SHARE = 0.95, 0.9
_LEAST_SAMPLES = 3


def mapping_oddities(
    table: LogTable,
    mapping: ColumnMapping,
    shown: Preview,
    around: Surroundings,
    write: Writer,
) -> tuple[Oddity, ...]:
    """What is physically odd about a mapping: nothing that must be answered, but worth a look.

    Temperatures and the order of the sides are judged by the whole log, thinned; the rest by the middle of
    the first minutes, at rest and running apart.
    """
    found = [*_other_unit(table, mapping), *_unlike(mapping)]
    found += _crossing(table, mapping, around.barometer_pa)
    told = {role for one in found for role in one.roles[:1]}
    units = {one.use: one.unit for one in mapping.values() if isinstance(one.use, Role)}
    for point in _middles(_decided(shown)):
        here = replace(
            around,
            units=units,
            ambient_k=point.get(Role.AMBIENT, around.ambient_k),
            intake_k=point.get(Role.INTAKE, around.intake_k),
        )
        found += [one for one in odd_values(point, here, write) if one.roles[0] not in told]
    seen: dict[str, Oddity] = {one.text: one for one in found}
    return tuple(seen.values())


def _other_unit(table: LogTable, mapping: ColumnMapping) -> Iterator[Oddity]:
    """Temperatures of which clearly more are usual when read in the other unit."""
    for name, one in mapping.items():
        other = OTHER_TEMPERATURE.get(one.unit)
        if other is None or one.kind is not Kind.TEMPERATURE or not isinstance(one.use, Role):
            continue
        values = table.column(name).numbers
        stated = share_inside(values, one.use, one.unit, one.kind, gauge=False)
        better = share_inside(values, one.use, other, one.kind, gauge=False)
        if stated < _POOR_SHARE and better >= _BETTER_SHARE:
            yield Oddity(
                (one.use,),
                f"{name}: only {_percent(stated)} of the values are usual for a {one.use.value} in "
                f"{one.unit}, but {_percent(better)} in {other}.",
            )


def _crossing(table: LogTable, mapping: ColumnMapping, barometer_pa: float) -> Iterator[Oddity]:
    """A low side above the high side every now and then; throughout, it is asked about."""
    sides: dict[object, tuple[str, Assignment]] = {}
    for name, one in mapping.items():
        if one.use in SIDES and one.unit:
            sides.setdefault(one.use, (name, one))
    if len(sides) < len(SIDES):
        return
    low, high = (
        as_si(thinned(table.column(name).numbers), one, barometer_pa)
        for name, one in (sides[role] for role in SIDES)
    )
    both = np.isfinite(low) & np.isfinite(high)
    share = float(np.mean(low[both] > high[both] + LEVEL_PA)) if both.any() else 0.0
    if share >= _OFTEN:
        yield Oddity(
            SIDES,
            f"The low side lies above the high side in {_percent(share)} of the samples: were hoses, names "
            "or gauge and absolute mixed up?",
        )


def _unlike(mapping: ColumnMapping) -> Iterator[Oddity]:
    """One side counted from the air and the other from vacuum: one logger counts both alike."""
    sides = {one.use: one.gauge for one in mapping.values() if one.use in SIDES and one.unit}
    if set(sides.values()) == {True, False}:
        gauge, absolute = sorted(SIDES, key=lambda role: not sides[role])
        yield Oddity(
            SIDES,
            f"The {gauge.value} counts as gauge and the {absolute.value} as absolute. A logger mostly counts "
            "both alike: look at both.",
        )


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


def _decided(shown: Preview) -> Preview:
    """Without what is only supposed: that is asked about, and no ground for judging anything else."""
    kept = {role: values for role, values in shown.values.items() if role not in shown.supposed}
    return replace(shown, values=kept)


def _middles(shown: Preview) -> Iterator[dict[Role, float]]:
    """The middle values of the first minutes, where the sides are level and where they are apart."""
    low, high = (shown.values.get(role) for role in SIDES)
    if low is None or high is None:
        parts = [np.ones(shown.time_s.size, dtype=bool)]
    else:
        apart = high - low > LEVEL_PA
        parts = [~apart & np.isfinite(high - low), apart]
    for part in parts:
        if np.count_nonzero(part) >= _LEAST_SAMPLES:
            yield {
                role: float(np.nanmedian(values[part]))
                for role, values in shown.values.items()
                if np.isfinite(values[part]).any()
            }
