"""The answer of a check-up as plain text and as JSON."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import clock
from knowngood_checkup.core.explained import Standing
from knowngood_checkup.explain_words import explanation_lines
from knowngood_checkup.sheet_words import graded_words, repeat_words
from knowngood_refdata.expected.forecasts import Side
from knowngood_refdata.expected.outcome import placed
from knowngood_refdata.quantities import Kind, local_barometer_pa
from knowngood_refdata.records import Quantity, Response, Verdict

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood.formatting import System
    from knowngood_checkup.core.checkup import ResponseComparison
    from knowngood_checkup.core.explained import Explained
    from knowngood_checkup.gather import SessionCheck
    from knowngood_refdata.expected.comparison import QuantityComparison, WindowComparison
    from knowngood_refdata.records import Estimate, Reading

MOST_BEHIND = 40
CAUTION = (
    "Information for trained, licensed persons. The vehicle maker's procedure, the refrigerant data sheet "
    "and local law prevail. Charge is corrected by weight only, from the under-hood label."
)


def value_text(quantity: Quantity, estimate: Estimate, system: System, barometer_pa: float) -> str:
    """A reading with its 95 % uncertainty in the units of a system."""
    return formatting.estimate_text(estimate, quantity, system, barometer_pa=barometer_pa)


def range_text(strip: QuantityComparison, system: System, barometer_pa: float) -> str:
    """The 90 % range with what stands behind it, or why there is none."""
    outer = strip.forecast.outer
    if outer is None:
        return strip.reason or strip.forecast.reason
    low, high = (
        formatting.text(value, strip.quantity, system, barometer_pa=barometer_pa)
        for value in (outer.low, outer.high)
    )
    unit = formatting.label(strip.quantity, system)
    return f"{low.removesuffix(unit).strip()} to {high} ({strip.forecast.stands_on})"


def sheet_text(comparison: WindowComparison, system: System) -> str:
    """The match sheet of a window in a line, and how to repeat what does not compare."""
    if not comparison.reason:
        return graded_words(comparison.sheet)
    return f"Not comparable: {comparison.reason}. {repeat_words(comparison.sheet, system)}".strip()


def response_text(response: Response, system: System) -> str:
    """A response to engine speed in a sentence.

    Low and high side each rise, stay level, fall, or cannot be told.
    """
    head = f"From {response.from_rpm:.0f} to {response.to_rpm:.0f} rpm"
    sides = ", ".join(
        f"{name} {verdict}{_change(estimate, verdict, system)}"
        for name, verdict, estimate in (
            ("low side", response.low, response.low_pa),
            ("high side", response.high, response.high_pa),
        )
    )
    return f"{head}: {sides}." + (f" {_sentence_case(response.remark)}" if response.remark else "")


def expected_response_text(comparison: ResponseComparison) -> str:
    """What the book expects of each side a doubling of engine speed, and where this car lies."""
    measured = {Side.LOW: comparison.response.low_per_octave, Side.HIGH: comparison.response.high_per_octave}
    told = []
    for side, forecast in comparison.expected.items():
        estimate = measured[side]
        if forecast.outer is None or estimate is None:
            continue
        low, high = (_percent(one) for one in (forecast.outer.low, forecast.outer.high))
        outcome = placed(estimate, forecast.outer.low, forecast.outer.high)
        name = "low side" if side is Side.LOW else "high side"
        told.append(f"{name} {_percent(estimate.value)}, {outcome} ({low} to {high})")
    return f"A doubling of engine speed: {'; '.join(told)}." if told else ""


def behind_rows(
    comparison: WindowComparison, quantity: Quantity, system: System
) -> list[tuple[str, str, str, str]]:
    """The readings behind the ranges of a window: day and car, value as it was read, weight, remark."""
    total = sum(abs(one.weight) for one in comparison.behind) or 1.0
    return [
        (
            f"{one.reading.taken_at:%Y-%m-%d}, {one.reading.unit_name or 'car not named'}",
            _value_there(one.reading, quantity, system),
            f"{100.0 * abs(one.weight) / total:.0f} %",
            "doubtful, counts for little" if one.flagged else "",
        )
        for one in comparison.behind[:MOST_BEHIND]
    ]


def as_text(check: SessionCheck, system: System) -> str:
    """The whole answer for a terminal."""
    return "\n".join(_lines(check, system))


def as_json(check: SessionCheck) -> dict[str, object]:
    """The whole answer in SI, absolute pressures, ready for JSON."""
    return {
        "session": {
            "id": check.info.id,
            "title": check.info.title,
            "source": check.info.source_name,
            "sha256": check.info.source_sha256,
        },
        "vehicle": None if check.vehicle is None else {"id": check.vehicle.id, "name": check.vehicle.name},
        "units": "SI; pressures absolute, in Pa; temperatures and differences in K; engine speed in rpm",
        "known_good_readings": check.known_good_count,
        "outcome": check.checkup.outcome,
        "explanations": _explanations_json(check.checkup.explained),
        "windows": [_window_json(one) for one in check.checkup.windows],
        "events": [
            {"kind": str(one.kind), "at_s": one.at_s, "text": one.text} for one in check.findings.events
        ],
        "responses": [_response_json(one.response, len(one.known_good)) for one in check.checkup.responses],
        "caution": CAUTION,
    }


def _lines(check: SessionCheck, system: System) -> Iterator[str]:
    yield check.vehicle.name if check.vehicle else "No vehicle"
    charge = check.vehicle.spec("charge") if check.vehicle else None
    if charge:
        yield f"Charge {charge.as_printed} ({charge.source_kind}: {charge.citation})"
    yield f"Session: {check.info.title}"
    for window in check.checkup.windows:
        yield ""
        yield from _window_lines(window, check.barometer_pa, system)
    if check.findings.events:
        yield ""
        yield "Events"
        yield from (f"  {clock(one.at_s)}  {one.text}" for one in check.findings.events)
    if check.checkup.responses:
        yield ""
        yield "Response to engine speed"
        for one in check.checkup.responses:
            yield "  " + f"{response_text(one.response, system)} {expected_response_text(one)}".strip()
    yield ""
    yield check.checkup.outcome
    if check.checkup.explained is not None:
        yield from explanation_lines(check.checkup.explained)
    yield CAUTION


def _window_lines(comparison: WindowComparison, barometer_pa: float, system: System) -> Iterator[str]:
    window = comparison.window
    stage = "fan stage not recorded" if window.fan_stage is None else f"fan stage {window.fan_stage}"
    yield f"{window.label}, {stage}, {clock(window.start_s)} to {clock(window.end_s)}"
    for strip in comparison.strips:
        value = value_text(strip.quantity, strip.reading, system, barometer_pa)
        detail = (
            ""
            if strip.reason and strip.reason == comparison.reason
            else ("  " + range_text(strip, system, barometer_pa))
        )
        yield f"  {strip.quantity:<25}{value:<22}{strip.outcome:<15}{detail}".rstrip()
    yield "  " + sheet_text(comparison, system)


def _change(estimate: Estimate, verdict: Verdict, system: System) -> str:
    if verdict is Verdict.CANNOT_TELL:
        return ""
    change = formatting.estimate_text(estimate, Kind.PRESSURE, system, difference=True)
    return f" ({change})"


def _sentence_case(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def _window_json(comparison: WindowComparison) -> dict[str, object]:
    window = comparison.window
    return {
        "label": window.label,
        "start_s": window.start_s,
        "end_s": window.end_s,
        "engine_rpm": window.engine_rpm,
        "fan_stage": window.fan_stage,
        "comparable": comparison.comparable,
        "reason": comparison.reason,
        "conditions": {str(one.condition): str(one.grade) for one in comparison.sheet.lines},
        "quantities": {str(one.quantity): _strip_json(one) for one in comparison.strips},
    }


def _strip_json(strip: QuantityComparison) -> dict[str, object]:
    forecast = strip.forecast
    return {
        "value": strip.reading.value,
        "standard_uncertainty": strip.reading.standard_uncertainty,
        "outcome": str(strip.outcome),
        "reason": strip.reason,
        "range_90": None if forecast.outer is None else [forecast.outer.low, forecast.outer.high],
        "range_50": None if forecast.inner is None else [forecast.inner.low, forecast.inner.high],
        "stands_on": None if forecast.basis is None else str(forecast.basis),
        "readings": forecast.readings,
        "cars": forecast.cars,
    }


def _explanations_json(explained: Explained | None) -> list[dict[str, object]]:
    if explained is None or explained.standing is Standing.NOTHING:
        return []
    return [
        {"explanation": str(one.fault), "probability": round(one.probability, 4)} for one in explained.weighed
    ]


def _response_json(response: Response, known_good: int) -> dict[str, object]:
    return {
        "from_rpm": response.from_rpm,
        "to_rpm": response.to_rpm,
        "low_change_pa": response.low_pa.value,
        "low_standard_uncertainty_pa": response.low_pa.standard_uncertainty,
        "low": str(response.low),
        "high_change_pa": response.high_pa.value,
        "high_standard_uncertainty_pa": response.high_pa.standard_uncertainty,
        "high": str(response.high),
        "same_fan_stage": response.same_fan_stage,
        "remark": response.remark,
        "known_good_responses": known_good,
    }


def _percent(change_of_logarithm: float) -> str:
    return f"{100.0 * math.expm1(change_of_logarithm):+.0f} %".replace("-", "\N{MINUS SIGN}")


def _value_there(reading: Reading, quantity: Quantity, system: System) -> str:
    estimate = reading.values.get(quantity)
    if estimate is None:
        return formatting.MISSING
    now = reading.conditions
    air_pa = local_barometer_pa(now.barometer_pa, now.altitude_m)
    return formatting.text(estimate.value, quantity, system, barometer_pa=air_pa)
