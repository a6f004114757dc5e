"""How the compressor was working, told by its answer to engine speed.

Per doubling of the engine speed (common practice, no source; own calculations agree): a compressor at full
stroke, fixed or variable, pulls the low side down by a tenth and more while the high side climbs; one that
regulates holds the low side within 3 %, as it gives back in stroke what it gains in speed, or lets it rise,
as it gives back more; at minimum stroke nothing moves and the two sides lie close together; an electric one
does not know the engine.
"""

from __future__ import annotations

from math import exp
from typing import TYPE_CHECKING

from knowngood_refdata.records import CompressorKind, Estimate, Quantity, Stroke, StrokeFinding, Verdict

from .response import LOW_COUNTS_FROM, clock
from .windows import ENGINE_OFF_BELOW_RPM

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from knowngood_refdata.records import Response

    from .response import Settled

    Transient = Callable[[float, float], float | None]

FULL_FROM = 0.07
"""Least fall of the low side's logarithm an octave at full stroke; between this and level is no pattern."""

SIGMAS = 1.64
CLOSE_RATIO = 1.8
"""High over low, absolute, under which the sides lie close together: a working compressor holds 2 or more."""

WORKS_RATIO = 2.0
DIP_FROM = 0.06

BOTH_LEVEL = "which is the way of a variable compressor that regulates, and of one not driven by the engine"


def stroke_finding(
    settled: Sequence[Settled],
    responses: Sequence[Response],
    compressor: CompressorKind | None,
    dip: Transient,
) -> StrokeFinding | None:
    """Say how the compressor worked, with the evidence in sentences; None where there is no steady window.

    Parameters
    ----------
    responses
        Only those at equal fan stage count.
    compressor
        Its kind where it is known.
    dip
        Gives by how much of itself the low side went below both levels for a moment between two moments, None
        where that cannot be said.
    """
    if not settled:
        return None
    own_motor = _works_with_engine_off(settled)
    if own_motor:
        return StrokeFinding(Stroke.ELECTRIC, own_motor)
    able = [one for one in responses if one.same_fan_stage and one.low_per_octave and one.high_per_octave]
    if not able:
        why = "there is no pair of steady windows at two engine speeds and one fan stage"
        return StrokeFinding(Stroke.CANNOT_TELL, (why,))
    widest = max(able, key=lambda one: one.to_rpm / one.from_rpm)
    return _told(widest, settled, compressor, dip)


def _told(
    response: Response, settled: Sequence[Settled], compressor: CompressorKind | None, dip: Transient
) -> StrokeFinding:
    low, high = response.low_per_octave, response.high_per_octave
    assert low is not None
    assert high is not None
    seen = (_side_told("low side", low, response), _side_told("high side", high, response))
    level = response.low is Verdict.LEVEL and response.high is Verdict.LEVEL
    ratio = _largest_ratio(response, settled)
    if compressor is CompressorKind.ELECTRIC:
        if level:
            return StrokeFinding(Stroke.ELECTRIC, (*seen, "the compressor on record is electric"))
        return StrokeFinding(Stroke.CANNOT_TELL, (*seen, "yet the compressor on record is electric"))
    if level and ratio is not None and ratio < CLOSE_RATIO:
        close = f"the high side is only {ratio:.1f} times the low side, both absolute"
        return StrokeFinding(Stroke.MINIMUM, (*seen, close))
    if compressor is CompressorKind.FIXED:
        return _fixed(low, seen)
    if _at_full_stroke(low, response):
        return StrokeFinding(
            Stroke.FULL, (*seen, "it pumps more as it turns faster and gives no stroke back")
        )
    if response.low is Verdict.RISES:
        return StrokeFinding(
            Stroke.REGULATING, (*seen, "it gives back more in stroke than it gains in speed")
        )
    if response.low is Verdict.LEVEL and response.high is not Verdict.FALLS:
        return _regulating(response, seen, compressor, dip)
    return StrokeFinding(Stroke.CANNOT_TELL, (*seen, "that fits neither full stroke nor regulation"))


def _fixed(low: Estimate, seen: tuple[str, ...]) -> StrokeFinding:
    fixed = "the compressor on record has a fixed displacement"
    if low.value + SIGMAS * low.standard_uncertainty < -LOW_COUNTS_FROM:
        return StrokeFinding(Stroke.FULL, (*seen, fixed))
    return StrokeFinding(
        Stroke.CANNOT_TELL, (*seen, f"yet {fixed}, and the low side of such a one falls as it turns faster")
    )


def _at_full_stroke(low: Estimate, response: Response) -> bool:
    falls = low.value + SIGMAS * low.standard_uncertainty < -LOW_COUNTS_FROM and low.value <= -FULL_FROM
    return falls and response.high is not Verdict.FALLS


def _regulating(
    response: Response, seen: tuple[str, ...], compressor: CompressorKind | None, dip: Transient
) -> StrokeFinding:
    if compressor in {CompressorKind.INTERNAL_VARIABLE, CompressorKind.EXTERNAL_VARIABLE}:
        return StrokeFinding(Stroke.REGULATING, (*seen, f"the compressor on record is {compressor.value}"))
    if response.high is Verdict.RISES:
        return StrokeFinding(
            Stroke.REGULATING,
            (*seen, "something holds the low side while more is pumped: the stroke, not a motor of its own"),
        )
    at_s = sorted(one for one in (response.from_at_s, response.to_at_s) if one is not None)
    depth = dip(*at_s) if len(at_s) == 2 else None
    if depth is not None and depth > DIP_FROM:
        driven = f"the low side dipped by {100 * depth:.0f} % for a moment as the engine sped up"
        return StrokeFinding(Stroke.REGULATING, (*seen, f"{driven}: the engine drives it, and it regulates"))
    return StrokeFinding(Stroke.CANNOT_TELL, (*seen, BOTH_LEVEL, "the kind of compressor is not on record"))


def _side_told(name: str, change: Estimate, response: Response) -> str:
    """A side's change in words: ``low side falls 19 % (± 2 %) a doubling of engine speed, 800 to ...``."""
    percent, unsure = (
        100.0 * (exp(part) - 1.0) for part in (change.value, 1.96 * change.standard_uncertainty)
    )
    moves = "rises" if percent > 0.0 else "falls"
    at_s = [clock(one) for one in (response.from_at_s, response.to_at_s) if one is not None]
    from_rpm, to_rpm = (round(rpm, -1) for rpm in (response.from_rpm, response.to_rpm))
    return (
        f"{name} {moves} {abs(percent):.0f} % (± {unsure:.0f} %) a doubling of engine speed, "
        f"{from_rpm:.0f} to {to_rpm:.0f} rpm, windows at {' and '.join(at_s)}"
    )


def _largest_ratio(response: Response, settled: Sequence[Settled]) -> float | None:
    """The larger of high over low in the two windows, both absolute."""
    ends = [one for one in settled if one.window.start_s in {response.from_at_s, response.to_at_s}]
    ratios = [ratio for one in ends if (ratio := _ratio(one)) is not None]
    return max(ratios, default=None)


def _ratio(one: Settled) -> float | None:
    values = one.window.values
    if Quantity.LOW_SIDE not in values or Quantity.HIGH_SIDE not in values:
        return None
    low = values[Quantity.LOW_SIDE].value
    return values[Quantity.HIGH_SIDE].value / low if low > 0.0 else None


def _works_with_engine_off(settled: Sequence[Settled]) -> tuple[str, ...]:
    for one in settled:
        rpm, ratio = one.window.engine_rpm, _ratio(one)
        if rpm is None or rpm > ENGINE_OFF_BELOW_RPM or ratio is None or ratio < WORKS_RATIO:
            continue
        span = f"from {clock(one.window.start_s)} to {clock(one.window.end_s)}"
        apart = f"with the engine off the high side stays at {ratio:.1f} times the low side, both absolute"
        return (f"{apart}, {span}: something else drives it",)
    return ()
