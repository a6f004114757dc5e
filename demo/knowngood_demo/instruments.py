"""What instruments make of a run: an error that stays for the session, and noise on every sample."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.records import Instruments, PressureInstrument, Role, Thermometer

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from knowngood_demo.design import Surroundings
    from knowngood_demo.run import Trace

DIGITAL = Instruments(
    low=PressureInstrument(0.5, 20e5, "digital manifold, low side, 0.5 % of 20 bar"),
    high=PressureInstrument(0.5, 50e5, "digital manifold, high side, 0.5 % of 50 bar"),
    line=Thermometer(0.5, "clamp probe"),
    air=Thermometer(0.5, "air probe"),
)

_TYPICAL_SHARE = 0.5
_CLAMP_SEES_AIR = 0.01
_NOISE = {
    Role.LOW_SIDE: 1_200.0,
    Role.HIGH_SIDE: 3_000.0,
    Role.SUCTION_LINE: 0.08,
    Role.LIQUID_LINE: 0.08,
    Role.VENT: 0.06,
    Role.AMBIENT: 0.08,
    Role.INTAKE: 0.06,
    Role.HUMIDITY: 0.004,
    Role.ENGINE_SPEED: 6.0,
    Role.COOLANT: 0.2,
}


def measured(
    trace: Trace, around: Surroundings, instruments: Instruments, rng: np.random.Generator
) -> dict[Role, NDArray[np.float64]]:
    """Every channel as the instruments show it, in SI, pressures absolute.

    A gauge's or probe's own error is drawn once for the run, within half of its limit; clamps see a
    little of the engine bay's air (one hundredth, a well-insulated clamp).

    Returns
    -------
    dict of Role to ndarray
        Arrays (n,), one value a second.
    """
    count = len(trace.snapshots)
    bay_k = around.ambient_k + around.engine_bay_above_k
    true = {
        Role.LOW_SIDE: trace.column("low_pa"),
        Role.HIGH_SIDE: trace.column("high_pa"),
        Role.SUCTION_LINE: _clamped(trace.column("suction_line_k"), bay_k),
        Role.LIQUID_LINE: _clamped(trace.column("liquid_line_k"), bay_k),
        Role.VENT: trace.column("vent_k"),
        Role.AMBIENT: np.full(count, around.ambient_k),
        Role.INTAKE: np.full(count, around.intake_k),
        Role.HUMIDITY: np.full(count, around.relative_humidity),
        Role.ENGINE_SPEED: trace.column("engine_rpm"),
        Role.COOLANT: trace.column("coolant_k"),
    }
    shift = _own_errors(instruments, rng)
    return {
        role: values + shift.get(role, 0.0) + rng.normal(0.0, _NOISE[role], count)
        for role, values in true.items()
    }


def _clamped(pipe_k: NDArray[np.float64], air_k: float) -> NDArray[np.float64]:
    return pipe_k + _CLAMP_SEES_AIR * (air_k - pipe_k)


def _own_errors(instruments: Instruments, rng: np.random.Generator) -> Mapping[Role, float]:
    limits = {
        Role.LOW_SIDE: _limit_pa(instruments.low),
        Role.HIGH_SIDE: _limit_pa(instruments.high),
        Role.SUCTION_LINE: instruments.line.limit_k,
        Role.LIQUID_LINE: instruments.line.limit_k,
        Role.VENT: instruments.air.limit_k,
        Role.AMBIENT: instruments.air.limit_k,
    }
    return {role: _TYPICAL_SHARE * limit * rng.uniform(-1.0, 1.0) for role, limit in limits.items()}


def _limit_pa(instrument: PressureInstrument) -> float:
    return instrument.class_percent / 100.0 * instrument.full_scale_pa
