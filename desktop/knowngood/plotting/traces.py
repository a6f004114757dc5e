"""The samples behind a plot: panels with their curves, all on the plot's time axis or on their own."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from knowngood.plotting.scales import roomy
from knowngood.plotting.series import Series, TimeAxis
from knowngood.plotting.view import View

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood.plotting.records import Band, Curve, PlotPanel


_LOOKED_BACK = 2000


@dataclass(frozen=True, eq=False)
class Trace:
    """A curve with its samples; ``shift_s`` is added to their moments."""

    curve: Curve
    series: Series
    own_axis: bool

    @property
    def shift_s(self) -> float:
        """How much later than its own axis says a sample is shown [s]."""
        return self.curve.shift_s

    def ends(self) -> tuple[float, float] | None:
        """The first and the last moment as shown [s]."""
        ends = self.series.axis.ends
        return None if ends is None else (ends[0] + self.shift_s, ends[1] + self.shift_s)

    def range_between(self, start_s: float, end_s: float) -> tuple[float, float] | None:
        """The smallest and the largest sample in a stretch as shown."""
        return self.series.range_between(start_s - self.shift_s, end_s - self.shift_s)

    def last_before(self, end_s: float) -> float | None:
        """The last value up to a moment as shown, where the line's name belongs; None when there is none."""
        place = int(self.series.axis.moments.places(np.array([end_s - self.shift_s]), "right")[0])
        values = self.series.values.part(max(place - _LOOKED_BACK, 0), place)
        finite = np.flatnonzero(np.isfinite(values))
        return float(values[finite[-1]]) if len(finite) else None

    def at(self, at_s: float) -> tuple[float, float] | None:
        """Moment as shown and value of the nearest sample."""
        found = self.series.at(at_s - self.shift_s)
        return None if found is None else (found[0] + self.shift_s, found[1])

    def gaps_near(self, at_s: float, reach_s: float, most: int) -> list[tuple[float, float]]:
        """Where samples are missing within reach of a moment, from and to [s] as shown."""
        found = self.series.gaps.near(at_s - self.shift_s, reach_s, most)
        return [(start_s + self.shift_s, end_s + self.shift_s) for start_s, end_s in found]


@dataclass(frozen=True, eq=False)
class PanelTraces:
    """One panel with its traces; ``bands`` are those shown now."""

    panel: PlotPanel
    traces: tuple[Trace, ...]
    bands: tuple[Band, ...]

    @property
    def title(self) -> str:
        """The heading."""
        return self.panel.title

    def limits(self, start_s: float, end_s: float) -> tuple[float, float]:
        """Lowest and highest value of the axis for a stretch of time."""
        if self.panel.limits is not None:
            return self.panel.limits
        ranges = [one.range_between(start_s, end_s) for one in self.traces]
        ranges += [(one.low, one.high) for one in self.bands if one.start_s < end_s and one.end_s > start_s]
        values = [value for both in ranges if both is not None for value in both if math.isfinite(value)]
        return roomy(min(values), max(values)) if values else (0.0, 1.0)


class Traces:
    """All panels of a plot.

    Parameters
    ----------
    time_s
        The plot's time axis, shape (n,) [s].
    panels
        Curves without a time axis of their own have n values.

    Raises
    ------
    ValueError
        A time axis falls or holds what is no number, or a curve has another number of values.
    """

    def __init__(
        self, time_s: NDArray[np.float64] | Sequence[float] = (), panels: Sequence[PlotPanel] = ()
    ) -> None:
        self.axis = TimeAxis(np.asarray(time_s, dtype=np.float64))
        self._axes: dict[int, TimeAxis] = {}
        self.panels = tuple(
            PanelTraces(panel, tuple(map(self._trace, panel.curves)), panel.bands) for panel in panels
        )

    def __iter__(self) -> Iterator[tuple[PanelTraces, Trace]]:
        for panel in self.panels:
            for trace in panel.traces:
                yield panel, trace

    @property
    def whole(self) -> View | None:
        """From the first to the last sample of all curves; None without samples."""
        ends = [found for _, trace in self if (found := trace.ends()) is not None]
        if self.panels and self.axis.ends is not None:
            ends.append(self.axis.ends)
        if not ends:
            return None
        start, end = min(one[0] for one in ends), max(one[1] for one in ends)
        return View(start, end) if end > start else View(start - 0.5, start + 0.5)

    @property
    def samples(self) -> int:
        """How many samples the plot's own axis has."""
        return len(self.axis)

    @property
    def nbytes(self) -> int:
        """What samples and extremes take [bytes]; a shared axis once."""
        axes = {id(self.axis): self.axis, **self._axes}
        values = sum(one.series.nbytes for _, one in self)
        return values + sum(one.moments.nbytes for one in axes.values())

    def set_bands(self, panel: int, bands: Sequence[Band]) -> None:
        """Other expected ranges behind the curves of one panel."""
        old = self.panels[panel]
        changed = PanelTraces(old.panel, old.traces, tuple(bands))
        self.panels = (*self.panels[:panel], changed, *self.panels[panel + 1 :])

    def append(self, time_s: NDArray[np.float64], values_by_curve: Mapping[str, NDArray[np.float64]]) -> None:
        """Add samples at the end of the plot's axis; a curve without values gets a gap.

        Raises
        ------
        ValueError
            A moment lies before the last one, or values and moments differ in number. Nothing is added.
        """
        time_s = np.asarray(time_s, dtype=np.float64)
        fresh = {key: np.asarray(values, dtype=np.float64) for key, values in values_by_curve.items()}
        for key, values in fresh.items():
            if values.shape != time_s.shape:
                raise ValueError(f"{key}: {values.size} values for {time_s.size} moments; none was added.")
        self.axis.append(time_s)
        missing = np.full(len(time_s), np.nan)
        for _, trace in self:
            if not trace.own_axis:
                trace.series.append(fresh.get(trace.curve.known_as, missing))

    def _trace(self, curve: Curve) -> Trace:
        if curve.time_s is None:
            series = Series(self.axis, curve.values, curve.factor, curve.offset)
            return Trace(curve, series, own_axis=False)
        axis = self._axes.get(id(curve.time_s))
        if axis is None:
            axis = self._axes.setdefault(id(curve.time_s), TimeAxis(curve.time_s))
        return Trace(curve, Series(axis, curve.values, curve.factor, curve.offset), own_axis=True)
