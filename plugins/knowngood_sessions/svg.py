"""A session over time as SVG, for the report: curves, shaded windows, dashed events with words."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

import numpy as np

from knowngood.formatting import clock

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

WIDTH, PANEL_HEIGHT = 720, 100
_LEFT, _RIGHT, _TOP, _BETWEEN, _BOTTOM = 46, 8, 16, 22, 20
_INK, _QUIET, _GRID, _SHADE, _GREEN, _AMBER = "#1d2327", "#666d72", "#e4e2da", "#e7f0ec", "#23604c", "#8a6412"
_MOST_TICKS = 6
_LETTER_PX = 4.8
_ROW_PX, _MOST_ROWS = 10, 4


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """A named curve in display units, (n,), NaN where there is nothing."""

    name: str
    colour: str
    values: NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Panel:
    """Curves that share a scale, with a heading that names the unit."""

    heading: str
    curves: tuple[Curve, ...]


@dataclass(frozen=True, slots=True)
class Shade:
    """A stretch of time with its label."""

    start_s: float
    end_s: float
    label: str


@dataclass(frozen=True, slots=True)
class Mark:
    """A moment with its words."""

    at_s: float
    text: str


def plot_svg(
    time_s: NDArray[np.float64], panels: Sequence[Panel], shades: Sequence[Shade], marks: Sequence[Mark]
) -> str:
    """The panels one above the other on one time axis.

    Parameters
    ----------
    time_s
        Seconds, (n,), rising.
    """
    height = _TOP + len(panels) * PANEL_HEIGHT + (len(panels) - 1) * _BETWEEN + _BOTTOM
    scale = _Scale(_LEFT, WIDTH - _RIGHT, float(time_s[0]), max(float(time_s[-1]), float(time_s[0]) + 1.0))
    tops = [_TOP + index * (PANEL_HEIGHT + _BETWEEN) for index in range(len(panels))]
    body = [part for top in tops for part in _shading(shades, scale, top, labelled=top == tops[0])]
    for panel, top in zip(panels, tops, strict=True):
        body += _panel(panel, time_s, scale, top, labelled=top == tops[0])
    for top in tops:
        body += _marks(marks, scale, top, labelled=top == tops[0])
    body += _time_axis(scale, height - _BOTTOM)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" '
        f'viewBox="0 0 {WIDTH} {height}" font-family="sans-serif" font-size="9">{"".join(body)}</svg>'
    )


@dataclass(frozen=True, slots=True)
class _Scale:
    first_px: float
    last_px: float
    first: float
    last: float

    def __call__(self, value: float) -> float:
        share = (value - self.first) / (self.last - self.first)
        return self.first_px + share * (self.last_px - self.first_px)


def _panel(
    panel: Panel, time_s: NDArray[np.float64], x: _Scale, top: float, *, labelled: bool
) -> Iterator[str]:
    drawn = [curve for curve in panel.curves if np.isfinite(curve.values).any()]
    low = min((float(np.nanmin(curve.values)) for curve in drawn), default=0.0)
    high = max((float(np.nanmax(curve.values)) for curve in drawn), default=1.0)
    margin = 0.06 * (high - low) or 1.0
    # Labels of windows and events stand above the curves of the first panel.
    room = 8.0 * margin if labelled else margin
    y = _Scale(top + PANEL_HEIGHT, top, low - margin, high + room)
    for value in ticks(low - margin, high + room):
        yield f'<path d="M{_LEFT} {y(value):.1f}H{WIDTH - _RIGHT}" stroke="{_GRID}" stroke-width="0.6"/>'
        yield _text(_LEFT - 4, y(value) + 3, f"{value:g}", _QUIET, "end")
    yield _text(_LEFT, top - 5, panel.heading, _INK)
    names_px = float(WIDTH - _RIGHT)
    for curve in reversed(drawn):
        yield _text(names_px, top - 5, curve.name, curve.colour, "end")
        names_px -= _LETTER_PX * len(curve.name) + 12.0
    for curve in drawn:
        path = _path(time_s, curve.values, x, y)
        yield f'<path d="{path}" fill="none" stroke="{curve.colour}" stroke-width="1.3"/>'


def _path(time_s: NDArray[np.float64], values: NDArray[np.float64], x: _Scale, y: _Scale) -> str:
    """The curve with at most two points a pixel, its lowest and its highest there; gaps stay gaps."""
    kept = thinned(values, 2 * WIDTH)
    pieces, pen_up = [], True
    for index in kept:
        value = float(values[index])
        if not np.isfinite(value):
            pen_up = True
            continue
        pieces.append(f"{'M' if pen_up else 'L'}{x(float(time_s[index])):.1f} {y(value):.1f}")
        pen_up = False
    return "".join(pieces)


def thinned(values: NDArray[np.float64], most: int) -> NDArray[np.intp]:
    """Indices of at most ``most`` samples that keep every stretch's lowest and highest, rising.

    >>> thinned(np.array([0.0, 5.0, 1.0, 1.0, -3.0, 0.0]), 4).tolist()
    [0, 1, 3, 4]
    """
    if values.size <= most:
        return np.arange(values.size)
    stretches = max(most // 2, 1)
    size = -(-values.size // stretches)
    padded = np.full(size * stretches, np.nan)
    padded[: values.size] = values
    blocks = padded.reshape(stretches, size)
    starts = size * np.arange(stretches)
    lowest = starts + np.where(np.isfinite(blocks), blocks, np.inf).argmin(axis=1)
    highest = starts + np.where(np.isfinite(blocks), blocks, -np.inf).argmax(axis=1)
    both = np.unique(np.concatenate([lowest, highest]))
    return both[both < values.size]


def _shading(shades: Sequence[Shade], x: _Scale, top: float, *, labelled: bool) -> Iterator[str]:
    for shade in shades:
        left, right = x(shade.start_s), x(shade.end_s)
        yield (
            f'<rect x="{left:.1f}" y="{top}" width="{max(right - left, 1.0):.1f}" '
            f'height="{PANEL_HEIGHT}" fill="{_SHADE}"/>'
        )
        if labelled:
            yield _text(left + 3, top + 10, shade.label, _GREEN)


def _marks(marks: Sequence[Mark], x: _Scale, top: float, *, labelled: bool) -> Iterator[str]:
    taken = [-1.0] * _MOST_ROWS
    for mark in sorted(marks, key=lambda one: one.at_s):
        at = x(mark.at_s)
        yield (
            f'<path d="M{at:.1f} {top}V{top + PANEL_HEIGHT}" stroke="{_AMBER}" '
            'stroke-width="0.8" stroke-dasharray="3 2"/>'
        )
        if labelled:
            yield _mark_words(mark.text, at, top, taken)


def _mark_words(text: str, at: float, top: float, taken: list[float]) -> str:
    """Words beside their line, in the first row that is free there; ``taken`` is where each row ends."""
    long_px = _LETTER_PX * len(text)
    # Words that would run out of the picture lie left of their line.
    after = at + 3 + long_px <= WIDTH - _RIGHT
    begins = at + 3 if after else at - 3 - long_px
    row = next((row for row, ends in enumerate(taken) if ends <= begins), taken.index(min(taken)))
    taken[row] = begins + long_px + 6
    anchor, gap = ("start", 3) if after else ("end", -3)
    return _text(at + gap, top + 21 + _ROW_PX * row, text, _AMBER, anchor)


def _time_axis(x: _Scale, bottom: float) -> Iterator[str]:
    yield f'<path d="M{_LEFT} {bottom}H{WIDTH - _RIGHT}" stroke="{_QUIET}" stroke-width="0.8"/>'
    step = next((one for one in (30, 60, 120, 300, 600, 1800, 3600) if (x.last - x.first) / one <= 7), 7200)
    for at in np.arange(np.ceil(x.first / step) * step, x.last, step):
        yield _text(x(float(at)), bottom + 11, clock(float(at)), _QUIET, "middle")


def _text(x: float, y: float, text: str, colour: str, anchor: str = "start") -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" fill="{colour}" text-anchor="{anchor}">{escape(text)}</text>'


def ticks(low: float, high: float) -> list[float]:
    """Round values between two bounds, at most seven of them.

    >>> ticks(18.0, 163.0)
    [25.0, 50.0, 75.0, 100.0, 125.0, 150.0]
    """
    raw = (high - low) / _MOST_TICKS
    power = 10.0 ** np.floor(np.log10(raw))
    step = next(power * one for one in (1.0, 2.0, 2.5, 5.0, 10.0) if power * one >= raw)
    first = np.ceil(low / step) * step
    return [round(float(one), 9) + 0.0 for one in np.arange(first, high, step)]
