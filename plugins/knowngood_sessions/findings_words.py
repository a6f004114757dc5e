"""What was found in a session as lines for the screen, each with the stretch of time that it is about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import COVERAGE_95, clock
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity

if TYPE_CHECKING:
    from knowngood.formatting import System
    from knowngood_refdata.records import Estimate, Event, Findings, Response, SteadyWindow

_AROUND_EVENT_S = 45.0
_SHOWN = (
    Quantity.LOW_SIDE,
    Quantity.HIGH_SIDE,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.VENT,
)
_SHORT = {Quantity.VENT: "vent"}


@dataclass(frozen=True, slots=True)
class Line:
    """A finding in words; ``span_s`` is None for a heading or where there is nothing to show."""

    text: str
    span_s: tuple[float, float] | None = None
    heading: bool = False


def lines(found: Findings, system: System, barometer_pa: float) -> tuple[Line, ...]:
    """Windows with their settled values, events, and responses to engine speed, under headings."""
    result = [Line("Steady windows", heading=True)]
    result += [_window(one, system, barometer_pa) for one in found.windows]
    if not found.windows:
        result.append(Line("None: the readings never settled for long enough."))
    result.append(Line("Events", heading=True))
    result += [_event(one) for one in found.events] or [Line("None was seen.")]
    result.append(Line("Response to engine speed", heading=True))
    result += [Line(response_text(one, system)) for one in found.responses]
    if not found.responses:
        result.append(Line("None: that takes a steady window at idle and one at a higher speed."))
    return tuple(result)


def _window(window: SteadyWindow, system: System, barometer_pa: float) -> Line:
    stage = "not known" if window.fan_stage is None else str(window.fan_stage)
    rows = [f"{window.label}: {clock(window.start_s)} to {clock(window.end_s)}, fan stage {stage}"]
    # A line each: where one wraps, the list leaves out the end of the item.
    rows += [
        f"{_SHORT.get(one, one.value)} "
        + formatting.estimate_text(window.values[one], one, system, barometer_pa=barometer_pa)
        for one in _SHOWN
        if one in window.values
    ]
    return Line("\n".join(rows), (window.start_s, window.end_s))


def _event(event: Event) -> Line:
    return Line(
        f"{clock(event.at_s)}  {event.text}", (event.at_s - _AROUND_EVENT_S, event.at_s + _AROUND_EVENT_S)
    )


def short_words(event: Event) -> str:
    """An event's words for a plot, without what follows the first comma: how it was seen."""
    return event.text.partition(",")[0]


def response_text(response: Response, system: System) -> str:
    """One response in words, with the changes and their 95 % uncertainty."""
    low, high = (_change(one, system) for one in (response.low_pa, response.high_pa))
    text = (
        f"{response.from_rpm:.0f} to {response.to_rpm:.0f} rpm: low side {_verb(response.low)} ({low}), "
        f"high side {_verb(response.high)} ({high})."
    )
    remark = response.remark[:1].upper() + response.remark[1:]
    return f"{text} {remark}".strip()


def _verb(verdict: str) -> str:
    return "cannot be told" if verdict == "cannot tell" else verdict


def _change(estimate: Estimate, system: System) -> str:
    text = formatting.text(
        estimate.value,
        Kind.PRESSURE,
        system,
        uncertainty_si=COVERAGE_95 * estimate.standard_uncertainty,
        difference=True,
    )
    return f"+{text}" if estimate.value > 0 else text
