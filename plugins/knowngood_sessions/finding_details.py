"""Single findings in words: values, how they moved, where they come from."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import COVERAGE_95, clock
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Estimate, Quantity
from knowngood_sessions.core.finding.figures import said
from knowngood_sessions.core.finding.response import PERHAPS_ANOTHER_STAGE

if TYPE_CHECKING:
    from knowngood.formatting import System
    from knowngood_refdata.records import (
        Behaviour,
        Event,
        Evidence,
        FanThreshold,
        Recovery,
        Response,
        SteadyWindow,
    )

SHOWN = (
    Quantity.LOW_SIDE,
    Quantity.HIGH_SIDE,
    Quantity.SUPERHEAT,
    Quantity.SUBCOOLING,
    Quantity.CONDENSING_ABOVE_AMBIENT,
    Quantity.VENT,
)
_SHORT = {Quantity.VENT: "vent", Quantity.LOW_SIDE: "low", Quantity.HIGH_SIDE: "high"}
_IN_SHORT = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE, Quantity.SUPERHEAT, Quantity.SUBCOOLING, Quantity.VENT)
_MINUTE_S = 60.0
_PERCENT = 100.0
_UNSURE_FROM_S, _WHOLE_FROM_S = 0.3, 1.95


def window_values(window: SteadyWindow, system: System, barometer_pa: float) -> str:
    """The settled values of a window in one line."""
    told = [
        f"{_SHORT.get(one, one.value)} "
        + formatting.text(
            window.values[one].value, one, system, barometer_pa=barometer_pa, decimals=_decimals(one, system)
        )
        for one in _IN_SHORT
        if one in window.values
    ]
    return ", ".join(told) if told else "Its values are not worked out yet."


def _decimals(quantity: Quantity, system: System) -> int:
    """A tenth of a bar is coarser than what a settled side is known to."""
    fine = formatting.System(system) is formatting.System.SI and formatting.kind_of(quantity) is Kind.PRESSURE
    return formatting.scale_of(quantity, system).decimals + fine


def stage_text(window: SteadyWindow) -> str:
    """The fan's stage in a window, and that it may have been another one."""
    return f"{window.fan_stage}{', perhaps another' if window.fan_doubted else ''}"


def window_details(window: SteadyWindow, system: System, barometer_pa: float) -> tuple[str, ...]:
    """Each settled value with its uncertainty, and below it how it moved about it."""
    told: list[str] = []
    for one in SHOWN:
        if one not in window.values:
            continue
        settled = formatting.estimate_text(window.values[one], one, system, barometer_pa=barometer_pa)
        told.append(f"{one.value} {settled}")
        if one in window.behaviour:
            told.append(f"   {behaviour_text(window.behaviour[one], one, system)}")
    return tuple(told)


def behaviour_text(behaviour: Behaviour, quantity: Quantity, system: System) -> str:
    """Spread, drift and hunting of a quantity: ``spread 0.4 psi, drift +1.2 ± 0.8 psi/min``."""

    def change(value_si: float, uncertainty_si: float | None = None) -> str:
        return formatting.text(
            value_si,
            quantity,
            system,
            uncertainty_si=uncertainty_si,
            difference=True,
            decimals=_places(quantity, system),
        )

    drift = behaviour.drift_per_s
    told = [
        f"spread {change(behaviour.spread)}",
        "drift "
        + _signed(
            change(_MINUTE_S * drift.value, COVERAGE_95 * _MINUTE_S * drift.standard_uncertainty), drift.value
        )
        + "/min",
    ]
    if behaviour.amplitude is not None and behaviour.period_s is not None:
        told.append(f"hunting by ± {change(behaviour.amplitude)} every {behaviour.period_s:.0f} s")
    return ", ".join(told)


def _places(quantity: Quantity, system: System) -> int:
    # A movement about a settled value is small against the value itself.
    return formatting.scale_of(quantity, system, difference=True).decimals + 1


def _signed(text: str, value: float) -> str:
    return f"+{text}" if value > 0 else text


def response_text(response: Response, system: System) -> str:
    """One response in words, with the changes and their 95 % uncertainty."""
    low, high = (_change(one, system) for one in (response.low_pa, response.high_pa))
    text = (
        f"{response.from_rpm:.0f} to {response.to_rpm:.0f} rpm: low side {_verb(response.low)} ({low}), "
        f"high side {_verb(response.high)} ({high})."
    )
    remark = response.remark[:1].upper() + response.remark[1:]
    return f"{text} {remark}".strip()


def response_details(response: Response) -> tuple[str, ...]:
    """The changes for a doubling of the engine speed, and whether the fan ran alike."""
    told = [
        f"{side} {_octave(one)} for each doubling of the engine speed"
        for side, one in (("low side", response.low_per_octave), ("high side", response.high_per_octave))
        if one is not None
    ]
    fan = "at the same stage in both" if response.same_fan_stage else "not at the same stage in both"
    doubt = "perhaps not " if PERHAPS_ANOTHER_STAGE in response.remark else ""
    return (*told, f"fan {doubt}{fan}")


def _octave(per_octave: Estimate) -> str:
    """A change of the logarithm of the absolute pressure as percent of it.

    >>> from knowngood_refdata.records import Estimate
    >>> _octave(Estimate(-0.105, 0.02))
    '−10.0 ± 3.5 % (absolute pressure)'
    """
    percent = _PERCENT * math.expm1(per_octave.value)
    half = _PERCENT * COVERAGE_95 * per_octave.standard_uncertainty * math.exp(per_octave.value)
    sign = "+" if percent > 0 else ""
    shown = f"{sign}{percent:.1f} ± {half:.1f}".replace("-", "\N{MINUS SIGN}")
    return f"{shown} % (absolute pressure)"


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
    return _signed(text, estimate.value)


def threshold_text(threshold: FanThreshold, system: System, barometer_pa: float) -> str:
    """Where the fan changes: ``Stage 2: on at 230 psig, off at 180 psig``."""
    name = "A higher stage" if threshold.stage is None else f"Stage {threshold.stage}"
    told = [
        f"{word} at {_pressure(one, system, barometer_pa)}"
        for word, one in (("on", threshold.up_pa), ("off", threshold.down_pa))
        if one is not None
    ]
    return f"{name}: {', '.join(told) if told else 'its pressures could not be told'}"


def threshold_details(threshold: FanThreshold, system: System, barometer_pa: float) -> tuple[str, ...]:
    """How often each was seen, with uncertainty, and the hysteresis."""
    told = [
        f"{word} at {formatting.estimate_text(one, Kind.PRESSURE, system, barometer_pa=barometer_pa)}, "
        f"seen {_times(count)}"
        for word, one, count in (
            ("on", threshold.up_pa, threshold.ups),
            ("off", threshold.down_pa, threshold.downs),
        )
        if one is not None
    ]
    if threshold.up_pa is not None and threshold.down_pa is not None:
        width = Estimate(
            threshold.up_pa.value - threshold.down_pa.value,
            math.hypot(threshold.up_pa.standard_uncertainty, threshold.down_pa.standard_uncertainty),
        )
        told.append("hysteresis " + formatting.estimate_text(width, Kind.PRESSURE, system, difference=True))
    return tuple(told)


def _pressure(estimate: Estimate, system: System, barometer_pa: float) -> str:
    return formatting.text(estimate.value, Kind.PRESSURE, system, barometer_pa=barometer_pa)


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def recovery_text(recovery: Recovery) -> str:
    """How long it took after what: ``42 s after fan stage up at 4:31, the high side last``."""
    slowest = "" if recovery.slowest is None else f", the {recovery.slowest.value} last"
    return f"{recovery.seconds:.0f} s after {recovery.after.value} at {clock(recovery.at_s)}{slowest}"


def reason_text(reason: str, system: System) -> str:
    """A sentence of the analysis with its figures in the units shown.

    >>> reason_text("high side still falls {62.1 kPa} a minute", formatting.System.US)
    'high side still falls 9.0 psi a minute'
    """
    return said(
        reason, lambda value, kind: formatting.text(value, kind, system, difference=kind is not Kind.ROTATION)
    )


def moment_text(event: Event) -> str:
    """When something began, with its 95 % uncertainty where that is more than a person would miss.

    >>> from knowngood_refdata.records import Event, EventKind
    >>> step = EventKind.ENGINE_SPEED_STEP
    >>> [moment_text(Event(step, 194.0, "", within_s=one)) for one in (None, 0.2, 0.62, 3.2)]
    ['3:14', '3:14', '3:14 ± 0.6 s', '3:14 ± 3 s']
    """
    moment, within_s = clock(event.at_s), event.within_s
    if within_s is None or within_s <= _UNSURE_FROM_S:
        return moment
    return f"{moment} ± {within_s:.{1 if within_s < _WHOLE_FROM_S else 0}f} s"


def evidence_text(evidence: Evidence, count: int | None) -> str:
    """Which samples a finding comes from."""
    number = "" if count is None else f"{count:,} "
    channels = ", ".join(one.value for one in evidence.channels)
    of = f" of {channels}" if channels else ""
    return f"from the {number}samples{of}, {clock(evidence.from_s)} to {clock(evidence.until_s)}"
