"""A pressure and a line temperature with all that they rest on: instrument, air pressure, port and seat."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_calculator.core.clamps import reading_bias_k
from knowngood_refdata.standard_uncertainty import from_limit

if TYPE_CHECKING:
    from knowngood_calculator.core.clamps import Seat
    from knowngood_refdata.local_air import Barometer
    from knowngood_refdata.records import PressureInstrument, Thermometer


class Port(StrEnum):
    """Where the pressure is taken, seen from the clamp along the flow."""

    AT_CLAMP = "at the clamp"
    UPSTREAM = "upstream of the clamp"
    DOWNSTREAM = "downstream of the clamp"


@dataclass(frozen=True, slots=True)
class Drop:
    """A pressure drop between port and clamp [Pa]; a known one has both ends alike.

    Raises
    ------
    ValueError
        When it is negative or its ends are the wrong way round.
    """

    least_pa: float = 0.0
    most_pa: float = 0.0

    def __post_init__(self) -> None:
        if not 0.0 <= self.least_pa <= self.most_pa:
            raise ValueError(
                "a pressure drop goes from a smaller to a larger value, none negative: "
                "where the port lies says which way it counts"
            )

    @property
    def middle_pa(self) -> float:
        """The drop that is corrected for [Pa]."""
        return 0.5 * (self.least_pa + self.most_pa)

    @property
    def standard_uncertainty_pa(self) -> float:
        """Of a drop equally likely anywhere between its ends [Pa] (JCGM 100:2008, 4.3.7)."""
        return from_limit(0.5 * (self.most_pa - self.least_pa))


@dataclass(frozen=True, slots=True)
class PressureTaken:
    """A pressure with all that it rests on.

    Attributes
    ----------
    absolute_pa
        The reading with the air pressure added [Pa, absolute].
    barometer
        The air pressure that was added; None for an instrument that reads absolute.
    """

    absolute_pa: float
    gauge: PressureInstrument
    barometer: Barometer | None = None
    port: Port = Port.AT_CLAMP
    drop: Drop = Drop()

    @property
    def sign(self) -> float:
        """Whether the drop is added to get from the port to the clamp (1), subtracted (-1) or neither (0)."""
        return {Port.AT_CLAMP: 0.0, Port.UPSTREAM: -1.0, Port.DOWNSTREAM: 1.0}[self.port]

    @property
    def correction_pa(self) -> float:
        """What leads from the port to the clamp [Pa]: pressure falls along the flow."""
        return self.sign * self.drop.middle_pa


@dataclass(frozen=True, slots=True)
class LineTaken:
    """A line temperature [K] with its probe, and if known how that sits and the air around it [K]."""

    line_k: float
    probe: Thermometer
    seat: Seat | None = None
    air_k: float | None = None

    @property
    def bias_k(self) -> float:
        """How much the reading may lie above the pipe [K]; zero when seat or air are not known."""
        if self.seat is None or self.air_k is None:
            return 0.0
        return reading_bias_k(self.seat, self.line_k, self.air_k)
