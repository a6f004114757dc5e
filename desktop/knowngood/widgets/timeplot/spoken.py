"""The plot in words, for a screen reader and for what found no room."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.plotting.scales import moment, number, signed
from knowngood.widgets.timeplot.ground import NOTHING
from knowngood.widgets.timeplot.lane import EVENT, WINDOW

if TYPE_CHECKING:
    from knowngood.plotting.marks import Marks
    from knowngood.plotting.records import CursorReading, Measurement
    from knowngood.plotting.traces import Traces
    from knowngood.plotting.view import View
from knowngood.widgets.timeplot.lane import Lane

_MOST_LINES = 25
_MOST_GAPS = 3


def spoken(reading: CursorReading, traces: Traces) -> str:
    """What all curves have at the cursor, and what is marked there."""
    decimals = [trace.curve.decimals for _, trace in traces]
    values = [
        f"{one.name} {'no value' if one.value is None else number(one.value, places)}"
        for one, places in zip(reading.curves, decimals, strict=True)
    ]
    return "; ".join([f"At {moment(reading.at_s)}", *values, *reading.marks])


def spoken_measurement(measured: Measurement, traces: Traces) -> str:
    """How far apart the measuring lines are, and how every curve differs between them."""
    decimals = [trace.curve.decimals for _, trace in traces]
    values = [
        f"{one.name} {'no value' if one.difference is None else signed(one.difference, places)}"
        for one, places in zip(measured.curves, decimals, strict=True)
    ]
    lines = f"A at {moment(measured.a_s)}, B at {moment(measured.b_s)}"
    return "; ".join([lines, f"from A to B {moment(measured.b_s - measured.a_s)}", *values])


def overview(traces: Traces, marks: Marks, view: View | None) -> str:
    """What there is to see, while no line says more."""
    if view is None or not traces.panels:
        return NOTHING
    plots = [
        f"{panel.title}: {', '.join(trace.curve.name for trace in panel.traces)}" for panel in traces.panels
    ]
    counts = [
        f"{len(found)} {name if len(found) == 1 else f'{name}s'}"
        for found, name in (
            (marks.windows, "window"),
            (marks.events, "event"),
            (marks.annotations, "annotation"),
        )
        if found
    ]
    return "; ".join([f"From {moment(view.start_s)} to {moment(view.end_s)}", *plots, *counts])


def gap_lines(traces: Traces, at_s: float, reach_s: float) -> list[str]:
    """Where curves have no samples within reach of a moment, each stretch once with the curves' names."""
    names: dict[tuple[float, float], list[str]] = {}
    for _, trace in traces:
        for start_s, end_s in trace.gaps_near(at_s, reach_s, _MOST_GAPS):
            names.setdefault((start_s, end_s), []).append(trace.curve.name)
    return [
        f"{moment(start_s, 0.1)} to {moment(end_s, 0.1)}  no samples: {', '.join(found)}"
        for (start_s, end_s), found in sorted(names.items())[:_MOST_LINES]
    ]


def hidden_words(lane: Lane, marks: Marks, y: float) -> list[str]:
    """The words that found no room in the rows at a height, each with its moment."""
    nearest = min(lane.left_out, key=lambda one: abs(one[2] - y), default=None)
    if nearest is None:
        return []
    kind, numbers, _ = nearest
    lines = [_line(kind, number, marks) for number in numbers[:_MOST_LINES]]
    more = len(numbers) - _MOST_LINES
    return [*lines, f"and {more} more"] if more > 0 else lines


def _line(kind: str, number: int, marks: Marks) -> str:
    if kind == WINDOW:
        start, end, label = marks.windows[number]
        return f"{moment(start)} to {moment(end)}  {label}"
    at, words = marks.events[number] if kind == EVENT else _note(marks, number)
    return f"{moment(at)}  {words}"


def _note(marks: Marks, number: int) -> tuple[float, str]:
    return marks.annotations[number].at_s, marks.annotations[number].text
