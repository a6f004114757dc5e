"""What all curves have at a moment, and how they differ between two."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.plotting.records import CurveDifference, CurveReading, Measurement

if TYPE_CHECKING:
    from knowngood.plotting.traces import Traces


def curves_at(traces: Traces, at_s: float) -> tuple[CurveReading, ...]:
    """The nearest sample of every curve; none in a gap and where nothing was recorded."""
    found = []
    for panel, trace in traces:
        sample = trace.at(at_s) or (None, None)
        found.append(CurveReading(panel.title, trace.curve.name, trace.curve.known_as, *sample))
    return tuple(found)


def between(traces: Traces, a_s: float, b_s: float) -> Measurement:
    """Differences and slopes of every curve from the sample nearest to A to the one nearest to B."""
    pairs = zip(curves_at(traces, a_s), curves_at(traces, b_s), strict=True)
    return Measurement(a_s, b_s, tuple(_difference(a, b) for a, b in pairs))


def _difference(a: CurveReading, b: CurveReading) -> CurveDifference:
    difference = slope = None
    if a.value is not None and b.value is not None and a.at_s is not None and b.at_s is not None:
        difference = b.value - a.value
        slope = 60.0 * difference / (b.at_s - a.at_s) if b.at_s != a.at_s else None
    return CurveDifference(a.panel, a.name, a.key, a.value, b.value, difference, slope)
