"""A point as it is typed by hand, in psi of a gauge."""

from __future__ import annotations

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Role
from knowngood_sessions.core.finding.by_hand import HandPoint

PSI = unit("psi", Kind.PRESSURE).factor
AIR = STANDARD_ATMOSPHERE_PA


def point(
    rpm: float | None = 750.0,
    low: float | None = 30.0,
    high: float | None = 150.0,
    stage: int | None = 1,
    **more: float,
) -> HandPoint:
    """Pressures in psig at the standard atmosphere, temperatures in kelvins by the role's name."""
    values: dict[Role, float] = {Role[name.upper()]: value for name, value in more.items()}
    if rpm is not None:
        values[Role.ENGINE_SPEED] = rpm
    if low is not None:
        values[Role.LOW_SIDE] = low * PSI + AIR
    if high is not None:
        values[Role.HIGH_SIDE] = high * PSI + AIR
    return HandPoint(values, stage)
