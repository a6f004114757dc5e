"""What instruments and a logger make of a run: sampling, own errors, noise, hunting, quantisation, gaps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from scipy.signal import lfilter

from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import Channel, Instruments, PressureInstrument, Recording, Role, Thermometer
from knowngood_refdata.uncertainty import pressure_limit_pa

if TYPE_CHECKING:
    from numpy.typing import NDArray
    from tests.plugins.sessions.truth.runs import Run

PSI = unit("psi", Kind.PRESSURE).factor
DIALS = Instruments()
DIGITAL = Instruments(
    PressureInstrument(0.5, 20e5), PressureInstrument(0.5, 50e5), Thermometer(0.5), Thermometer(0.5)
)
NAMES = {
    Role.LOW_SIDE: "low_pa",
    Role.HIGH_SIDE: "high_pa",
    Role.SUCTION_LINE: "suction_line_k",
    Role.LIQUID_LINE: "liquid_line_k",
    Role.VENT: "vent_k",
    Role.AMBIENT: "ambient_k",
    Role.ENGINE_SPEED: "engine_rpm",
}
PRESSURES = {Role.LOW_SIDE, Role.HIGH_SIDE}
HUNTS = {Role.LOW_SIDE: 1.0, Role.HIGH_SIDE: 0.4}
LINE_HUNTS_K_PER_PA = -2.0e-5


@dataclass(frozen=True)
class Logger:
    """How a session was seen.

    ``of_limit`` is the scatter of a pressure sample as part of the gauge's limit of error, ``memory`` the
    lag-one correlation at one sample a second, ``count_psi`` and ``count_k`` the last digit shown.
    """

    instruments: Instruments
    sampling_s: float
    of_limit: float
    line_k: float
    memory: float
    count_psi: float
    count_k: float
    uneven: bool
    missing: float


def logger(random: np.random.Generator) -> Logger:
    """A logger drawn at random: sampling from 0.1 to 2 s, dial gauges or digital ones."""
    dials = random.random() < 0.5
    return Logger(
        instruments=DIALS if dials else DIGITAL,
        sampling_s=float(random.choice([0.1, 0.2, 0.5, 1.0, 1.0, 2.0])),
        of_limit=float(random.choice([0.02, 0.08, 0.2])),
        line_k=float(random.choice([0.03, 0.08, 0.15])),
        memory=float(random.choice([0.0, 0.0, 0.6, 0.85])),
        count_psi=float(random.choice([0.01, 0.1, 0.5, 1.0])),
        count_k=float(random.choice([0.01, 0.1, 0.1, 0.5])),
        uneven=bool(random.integers(2)),
        missing=float(random.choice([0.0, 0.0, 0.05])),
    )


def shown(
    run: Run, how: Logger, barometer_pa: float, random: np.random.Generator
) -> tuple[Recording, dict[Role, float]]:
    """The recording, pressures in psi gauge, and each instrument's own error in SI."""
    time_s = np.arange(0.0, float(run.time_s[-1]), how.sampling_s)
    if how.uneven:
        time_s = np.sort(time_s + random.uniform(-0.3, 0.3, time_s.size) * how.sampling_s)
        time_s -= time_s[0]
    own = own_errors(how.instruments, random)
    wave = hunting(run, time_s, random)
    channels = []
    for role, name in NAMES.items():
        values = np.interp(time_s, run.time_s, run.channels[name])
        values = values + own.get(role, 0.0) + _scatter(role, how, time_s.size, random)
        values += wave * (LINE_HUNTS_K_PER_PA if role is Role.SUCTION_LINE else HUNTS.get(role, 0.0))
        channels.append(_channel(role, values, how, barometer_pa, random))
    return Recording(time_s, tuple(channels)), own


def own_errors(instruments: Instruments, random: np.random.Generator) -> dict[Role, float]:
    """The error of each instrument that stays for the session, anywhere inside its limit."""
    limits = {
        Role.LOW_SIDE: pressure_limit_pa(instruments.low),
        Role.HIGH_SIDE: pressure_limit_pa(instruments.high),
        Role.SUCTION_LINE: instruments.line.limit_k,
        Role.LIQUID_LINE: instruments.line.limit_k,
    }
    return {role: limit * float(random.uniform(-1.0, 1.0)) for role, limit in limits.items()}


def hunting(run: Run, time_s: NDArray[np.float64], random: np.random.Generator) -> NDArray[np.float64]:
    """The low side's hunting in pascals, (n,)."""
    wave = np.zeros(time_s.size)
    for one in run.hunting:
        inside = (time_s >= one.from_s) & (time_s < one.until_s)
        phase = random.uniform(0.0, 2.0 * np.pi)
        wave[inside] += one.low_pa * np.sin(2.0 * np.pi * time_s[inside] / one.period_s + phase)
    return wave


def _scatter(role: Role, how: Logger, count: int, random: np.random.Generator) -> NDArray[np.float64]:
    limit = {
        Role.LOW_SIDE: pressure_limit_pa(how.instruments.low),
        Role.HIGH_SIDE: pressure_limit_pa(how.instruments.high),
    }.get(role)
    sigma = how.of_limit * limit if limit else 12.0 if role is Role.ENGINE_SPEED else how.line_k
    memory = how.memory**how.sampling_s if how.memory else 0.0
    white = random.normal(0.0, sigma, count)
    return np.asarray(lfilter([np.sqrt(1.0 - memory**2)], [1.0, -memory], white))


def _channel(
    role: Role, values: NDArray[np.float64], how: Logger, barometer_pa: float, random: np.random.Generator
) -> Channel:
    if role in PRESSURES:
        values, count, name = (values - barometer_pa) / PSI, how.count_psi, "psi"
    elif role is Role.ENGINE_SPEED:
        count, name = 1.0, "rpm"
    else:
        count, name = how.count_k, "K"
    values = count * np.round(values / count)
    values[random.random(values.size) < how.missing] = np.nan
    return Channel(role.value, role, name, role in PRESSURES, values)


def calmer(how: Logger) -> Logger:
    """The same logger without a display's last digit and without noise, for what only its errors shift."""
    return replace(how, of_limit=0.0, line_k=0.0, count_psi=1e-6, count_k=1e-6, missing=0.0)
