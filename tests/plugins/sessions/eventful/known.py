"""The sessions of `truth.made` told as eventful ones."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.eventful.happened import Eventful, Truth, compressor_truths, hunting_truths
from tests.plugins.sessions.truth.made import session
from tests.plugins.sessions.truth.runs import STEP_S

if TYPE_CHECKING:
    from tests.plugins.sessions.truth.runs import Run

SMALLEST_FAN_STEP = 0.05


def known(maker: str, seed: int) -> Eventful:
    """The session of a maker and a seed."""
    made = session(maker, seed)
    truths = compressor_truths(made.run.time_s, made.run.pumping)
    truths += [Truth("engine", one.at_s) for one in made.run.engine_steps]
    for change in made.run.fan_changes:
        kind = "fan up" if change.up else "fan down"
        truths.append(Truth(kind, change.at_s, seen=_shows(made.run, change.at_s)))
    truths += _like_a_fan(made.run)
    disturbed_s = [one.at_s for one in truths if one.kind != "hunting"] + list(made.run.load_changes_s)
    for one in made.run.hunting:
        truths += hunting_truths(one.period_s, one.low_pa, one.until_s, disturbed_s)
    return Eventful(made.recording, made.refrigerant, tuple(truths), made.instruments, tells_thresholds=False)


def simulated_elsewhere(seed: int) -> Eventful:
    """The demo's cars on schedules of another hand."""
    return known("simulated", seed)


def lagged(seed: int) -> Eventful:
    """Lags between targets, without any physics."""
    return known("lagged", seed)


def _shows(run: Run, at_s: float) -> bool:
    """Whether the compressor pumped about a fan change, and the high side left its trend for it."""
    time_s = run.time_s
    if at_s < 10.0 or at_s > time_s[-1] - 15.0:
        return False
    around = (time_s > at_s - 15.0) & (time_s < at_s + 15.0)
    rpm = run.channels["engine_rpm"][(time_s > at_s - 8.0) & (time_s < at_s + 8.0)]
    if not run.pumping[around].all() or np.ptp(rpm) > 100.0:
        return False
    high = np.log(run.channels["high_pa"])
    at, reach = round(at_s / STEP_S), round(5.0 / STEP_S)
    trend = (high[at] - high[at - reach]) / reach
    after = high[at + 2 * reach] - high[at] - 2 * reach * trend
    return bool(abs(after) >= 0.8 * SMALLEST_FAN_STEP)


def _like_a_fan(run: Run) -> list[Truth]:
    """Changes of load that nobody could tell from a fan stage: the high side alone jumps within seconds."""
    found = []
    low, high = (np.log(np.maximum(run.channels[name], 1.0)) for name in ("low_pa", "high_pa"))
    for at_s in run.load_changes_s:
        at, reach = round(at_s / STEP_S), round(14.0 / STEP_S)
        if at + 3 * reach >= high.size:
            continue
        moved = [float(one[at + reach] - one[at]) for one in (low, high)]
        goes_on = float(high[at + 3 * reach] - high[at])
        quick = abs(moved[1]) >= 0.04 and abs(goes_on) < 1.7 * abs(moved[1])
        if quick and abs(moved[0]) < 0.7 * abs(moved[1]):
            found += [Truth(kind, at_s, seen=False) for kind in ("fan up", "fan down")]
    return found
