"""What a plot over time is given and what it tells: values in display units, times in seconds."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


class Line(Enum):
    """How a curve is drawn, beside its colour."""

    SOLID = "solid"
    DASHED = "dashed"
    DOTTED = "dotted"


@dataclass(frozen=True, eq=False)
class Curve:
    """One line of a panel.

    Attributes
    ----------
    name
        Stands at the line's end.
    values
        Shape (n,); NaN leaves a gap. Shown is ``values * factor + offset``, in display units.
    colour
        As ``#rrggbb``.
    time_s
        A time axis of its own, shape (n,), never falling; without one that of the plot.
    shift_s
        Added to the time axis: aligns another session by an event or by time [s].
    line, pale
        A line of another session is dashed and paler: told by more than its colour.
    decimals
        Digits after the point where the plot writes a value of the curve.
    key
        What `TimePlot.append` and readings call the curve; its name when empty.
    factor, offset
        From the values to display units, the factor above zero: no second array of them is held.
    """

    name: str
    values: NDArray[np.float64]
    colour: str
    time_s: NDArray[np.float64] | None = None
    shift_s: float = 0.0
    line: Line = Line.SOLID
    pale: bool = False
    decimals: int = 1
    key: str = ""
    factor: float = 1.0
    offset: float = 0.0

    @property
    def known_as(self) -> str:
        """The key, or the name of a curve without one."""
        return self.key or self.name


@dataclass(frozen=True)
class Band:
    """An expected range behind the curves of a panel, over a stretch of time.

    Attributes
    ----------
    low, high
        The outer (90 %) range in display units.
    inner_low, inner_high
        The inner (50 %) range; None when there is none.
    start_s, end_s
        Where it holds [s]; everywhere unless given.
    label
        Stands inside the band where there is room, such as ``low side, 9 cars``.
    colour
        As ``#rrggbb``; the accent colour when empty.
    """

    low: float
    high: float
    inner_low: float | None = None
    inner_high: float | None = None
    start_s: float = -math.inf
    end_s: float = math.inf
    label: str = ""
    colour: str = ""


@dataclass(frozen=True)
class Annotation:
    """Words that somebody set at a moment [s]."""

    at_s: float
    text: str


@dataclass(frozen=True, eq=False)
class PlotPanel:
    """One of the stacked plots.

    Attributes
    ----------
    title
        Heading with the unit.
    curves
        Drawn in this order, the last one on top.
    share
        Height relative to that of the other panels.
    bands
        Expected ranges behind the curves.
    limits
        Lowest and highest value of the axis; without them the axis follows what is in view.
    """

    title: str
    curves: tuple[Curve, ...] = field(default_factory=tuple)
    share: int = 2
    bands: tuple[Band, ...] = ()
    limits: tuple[float, float] | None = None


@dataclass(frozen=True)
class CurveReading:
    """What a curve has nearest to a moment; no value in a gap and beyond the ends.

    ``at_s`` is the moment of the sample itself [s], on the axis of the plot.
    """

    panel: str
    name: str
    key: str
    at_s: float | None
    value: float | None


@dataclass(frozen=True)
class CursorReading:
    """The samples of all curves nearest to the cursor, panel by panel, and the words of the marks at it."""

    at_s: float
    curves: tuple[CurveReading, ...]
    marks: tuple[str, ...] = ()


@dataclass(frozen=True)
class CurveDifference:
    """A curve between two moments: both values, their difference and slope; None where a value is missing.

    ``per_minute`` divides by the time between the two samples, not between the two lines.
    """

    panel: str
    name: str
    key: str
    a: float | None
    b: float | None
    difference: float | None
    per_minute: float | None


@dataclass(frozen=True)
class Measurement:
    """All curves between the measuring lines A and B [s]."""

    a_s: float
    b_s: float
    curves: tuple[CurveDifference, ...]
