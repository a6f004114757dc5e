"""How a published table was taken, and how a system stands today."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from knowngood_refdata.published.axes import Limit, check_possible
from knowngood_refdata.published.terms import BadTable, Circuit, Doors, Variable
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, Conditions, MeteringDevice, Opening

if TYPE_CHECKING:
    from knowngood_refdata.published.span import Span


@dataclass(frozen=True, slots=True)
class SetUp:
    """The set-up that a publication prescribes; None or empty is what it does not say.

    Attributes
    ----------
    engine_rpm
        The printed engine speed in rpm, one number or a range.
    idle
        Whether it says idle, with or without a number.
    blower
        Fraction of full speed; 1.0 where it says maximum.
    metering
        The expansion devices that it holds for.
    soak_s, run_time_s
        How long to rest before, and to run before reading [s].
    limits
        Conditions outside which it forbids the test.
    controls, notes
        Texts that no one can check against a record, as printed (``maximum cold, vents``).
    """

    engine_rpm: Span | None = None
    idle: bool = False
    blower: float | None = None
    air_source: AirSource | None = None
    doors: Doors | None = None
    windows: Opening | None = None
    hood: Opening | None = None
    sun: bool | None = None
    soak_s: float | None = None
    run_time_s: float | None = None
    gear: str = ""
    refrigerant: str = ""
    metering: tuple[MeteringDevice, ...] = ()
    limits: tuple[Limit, ...] = ()
    controls: str = ""
    notes: str = ""

    def __post_init__(self) -> None:
        if self.engine_rpm is not None:
            check_possible(Variable.ENGINE_SPEED, self.engine_rpm, unit("rpm", Kind.ROTATION))
        if self.blower is not None and not 0.0 <= self.blower <= 1.0:
            raise BadTable(f"a blower at {100 * self.blower:g} % of its full speed is impossible")
        for name, seconds in (("soak", self.soak_s), ("run time", self.run_time_s)):
            if seconds is not None and not 0.0 <= seconds <= 7 * 86_400.0:
                raise BadTable(f"a {name} of {seconds / 60:g} min is impossible: check its unit")


@dataclass(frozen=True, slots=True)
class Today:
    """The system in hand as far as it is recorded; None or empty is what is not.

    The relative humidity of the conditions is that of the air that enters the evaporator. ``idle`` tells
    idling where only that is known, or what a speed counts as.
    """

    conditions: Conditions = field(default_factory=Conditions)
    engine_rpm: float | None = None
    idle: bool | None = None
    at_rest: bool = False
    refrigerant: str = ""
    metering: MeteringDevice | None = None
    circuit: Circuit | None = None
    windows: Opening | None = None
    soak_s: float | None = None
    gear: str = ""
    liquid_line_k: float | None = None

    def value_of(self, variable: Variable) -> float | None:
        """What a table is entered with, in SI (engine speed in rpm), None when not recorded."""
        value = {
            Variable.AMBIENT: self.conditions.ambient_k,
            Variable.INTAKE: self.conditions.intake_k,
            Variable.HUMIDITY: self.conditions.relative_humidity,
            Variable.ENGINE_SPEED: self.engine_rpm,
            Variable.LIQUID_LINE: self.liquid_line_k,
        }[variable]
        return None if value is None or math.isnan(value) else value
