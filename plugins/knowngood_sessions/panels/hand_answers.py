"""What a sheet of typed points says, in words and in the units shown."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.formatting import COVERAGE_95
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Role
from knowngood_refdata.refrigerants import UnknownRefrigerant, saturation
from knowngood_sessions.core.finding.analysis import analyse
from knowngood_sessions.core.finding.by_hand import recording_of
from knowngood_sessions.core.finding.by_hand_findings import saturated_at
from knowngood_sessions.core.mapping.odd_units import Surroundings
from knowngood_sessions.core.mapping.odd_values import odd_values

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from knowngood.units import Units
    from knowngood_refdata.records import Estimate, SteadyWindow
    from knowngood_sessions.core.finding.by_hand import HandPoint, HandSheet

_SHOWN = {
    "Evaporating": Quantity.EVAPORATING,
    "Superheat": Quantity.SUPERHEAT,
    "Subcooling": Quantity.SUBCOOLING,
    "Condensing above ambient": Quantity.CONDENSING_ABOVE_AMBIENT,
}
_CONDENSING = "Condensing"


def answers(sheet: HandSheet, units: Units) -> tuple[dict[str, str], ...]:
    """What follows from each point, by name, with its 95 % uncertainty: the very values that are stored."""
    if not sheet.points or not _known(sheet.refrigerant):
        return ()
    found = analyse(recording_of(sheet), sheet.refrigerant, sheet.conditions, sheet.instruments)
    return tuple(
        _answers(sheet, point, window, units)
        for point, window in zip(sheet.points, found.windows, strict=True)
    )


def oddities(sheet: HandSheet, units: Units) -> tuple[str, ...]:
    """Everything odd about the points, each sentence with the point it is about."""
    if not _known(sheet.refrigerant):
        return ()
    around = Surroundings(
        saturation(sheet.refrigerant),
        sheet.instruments,
        {one.role: one.unit for one in sheet.columns},
        sheet.conditions.ambient_k,
        sheet.conditions.intake_k,
        sheet.barometer_pa,
    )

    def write(value: float, what: Role | Kind) -> str:
        return units.text(value, what, barometer_pa=sheet.barometer_pa)

    return tuple(
        f"Point {number}: {one.text}" if len(sheet.points) > 1 else one.text
        for number, point in enumerate(sheet.points, start=1)
        for one in odd_values(point.values, around, write)
    )


def _answers(sheet: HandSheet, point: HandPoint, window: SteadyWindow, units: Units) -> dict[str, str]:
    return dict(_written(sheet, point, window.values, units))


def _written(
    sheet: HandSheet, point: HandPoint, values: Mapping[Quantity, Estimate], units: Units
) -> Iterator[tuple[str, str]]:
    for name, quantity in _SHOWN.items():
        if quantity in values:
            yield name, units.estimate_text(values[quantity], quantity)
    high_pa = point.values.get(Role.HIGH_SIDE)
    if high_pa is not None:
        found = saturated_at(saturation(sheet.refrigerant), high_pa, sheet.instruments.high)
        reach = COVERAGE_95 * found.standard_uncertainty
        yield _CONDENSING, units.text(found.value, Kind.TEMPERATURE, uncertainty_si=reach)


def _known(refrigerant: str) -> bool:
    try:
        saturation(refrigerant)
    except UnknownRefrigerant:
        return False
    return True
