"""Sessions made up for the tests: first-order settling between targets, noise, hunting and drift.

Not a model of a vehicle's A/C: each side is told where to go and how fast, so that the truth is known.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.signal import lfilter

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, Kind, unit
from knowngood_refdata.records import Channel, Recording, Role
from knowngood_refdata.refrigerants import saturation
from knowngood_refdata.store import Store

from ..open_host import OpenHost

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from pathlib import Path

    from numpy.typing import NDArray
    from PySide6.QtWidgets import QWidget
    from pytestqt.qtbot import QtBot

    from knowngood.api import DerivedChannel
    from knowngood_sessions.panels.hand_readings import HandReadings
    from knowngood_sessions.panels.importer import LogImport

PSI = unit("psi", Kind.PRESSURE).factor
LOW_LIMIT_PSI = 0.016 * 10e5 / PSI
HIGH_LIMIT_PSI = 0.016 * 35e5 / PSI


@dataclass(frozen=True)
class Turn:
    """At ``at_s`` the channels get new targets (psig, K, rpm) and time constants (s)."""

    at_s: float
    kind: str
    targets: Mapping[str, float]
    constants_s: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class Noise:
    """Scatter of each sample: as part of a class 1.6 gauge's limit of error, and the rest."""

    of_limit: float = 0.1
    line_k: float = 0.15
    rpm: float = 12.0
    memory: float = 0.0
    hunting_psi: float = 0.0
    hunting_period_s: float = 25.0
    drift_psi_a_minute: float = 0.0
    offset_of_limit: float = 0.0
    digits: int = 2


@dataclass(frozen=True)
class MadeSession:
    """A recording with its truth: the clean channels and the turns."""

    recording: Recording
    clean: Mapping[str, NDArray[np.float64]]
    turns: tuple[Turn, ...]

    def moments(self, *kinds: str) -> list[float]:
        return [turn.at_s for turn in self.turns[1:] if turn.kind in kinds]

    def truly_steady(self) -> NDArray[np.bool_]:
        """From the moment when every channel has settled to within 2.5 % (line: 1 K) of where it ends."""
        time_s = self.recording.time_s
        steady = np.zeros(time_s.size, dtype=bool)
        edges = [*(turn.at_s for turn in self.turns), np.inf]
        for first, last in pairwise(edges):
            inside = np.flatnonzero((time_s >= first) & (time_s < last))
            start = 0
            for name, values in self.clean.items():
                part = values[inside]
                absolute = part * PSI + STANDARD_ATMOSPHERE_PA if name in ("low", "high") else part
                band = 1.0 if name in ("suction", "liquid") else 0.025 * abs(float(absolute[-1]))
                outside = np.flatnonzero(np.abs(absolute - absolute[-1]) > max(band, 1e-9))
                start = max(start, int(outside[-1]) + 1 if outside.size else 0)
            steady[inside[start:]] = True
        return steady


CHANNELS = {
    "low": (Role.LOW_SIDE, "psi", True),
    "high": (Role.HIGH_SIDE, "psi", True),
    "suction": (Role.SUCTION_LINE, "K", False),
    "liquid": (Role.LIQUID_LINE, "K", False),
    "rpm": (Role.ENGINE_SPEED, "rpm", False),
}
CONSTANTS_S = {"low": 12.0, "high": 25.0, "suction": 18.0, "liquid": 25.0, "rpm": 0.8}


def make(
    turns: Sequence[Turn],
    duration_s: float,
    *,
    sampling_s: float = 1.0,
    seed: int = 0,
    noise: Noise = Noise(),
    without: Sequence[str] = (),
    uneven: bool = False,
    missing: float = 0.0,
) -> MadeSession:
    random = np.random.default_rng(seed)
    time_s = np.arange(0.0, duration_s, sampling_s)
    if uneven:
        time_s = np.sort(time_s + random.uniform(-0.3, 0.3, time_s.size) * sampling_s)
        time_s -= time_s[0]
    names = [name for name in CHANNELS if name not in without]
    clean = {name: _followed(turns, name, time_s) for name in names if name in turns[0].targets}
    channels = []
    for name, values in clean.items():
        seen = np.round(values + _scatter(name, time_s, noise, random), noise.digits)
        seen[random.random(seen.size) < missing] = np.nan
        role, unit_name, gauge = CHANNELS[name]
        channels.append(Channel(name, role, unit_name, gauge, seen))
    return MadeSession(Recording(time_s, tuple(channels)), clean, tuple(turns))


def _followed(turns: Sequence[Turn], name: str, time_s: NDArray[np.float64]) -> NDArray[np.float64]:
    values = np.full(time_s.size, turns[0].targets[name])
    level = target = turns[0].targets[name]
    for index, turn in enumerate(turns):
        end = turns[index + 1].at_s if index + 1 < len(turns) else np.inf
        target = turn.targets.get(name, target)
        constant = turn.constants_s.get(name, CONSTANTS_S[name])
        inside = (time_s >= turn.at_s) & (time_s < end)
        values[inside] = target + (level - target) * np.exp(-(time_s[inside] - turn.at_s) / constant)
        if np.isfinite(end):
            level = target + (level - target) * float(np.exp(-(end - turn.at_s) / constant))
    return values


def _scatter(
    name: str, time_s: NDArray[np.float64], noise: Noise, random: np.random.Generator
) -> NDArray[np.float64]:
    limit = {"low": LOW_LIMIT_PSI, "high": HIGH_LIMIT_PSI}.get(name, 0.0)
    sigma = {"rpm": noise.rpm, "suction": noise.line_k, "liquid": noise.line_k}.get(
        name, noise.of_limit * limit
    )
    white = random.normal(0.0, sigma, time_s.size)
    if noise.memory:
        white = lfilter([np.sqrt(1.0 - noise.memory**2)], [1.0, -noise.memory], white)
    swing = {"low": 1.0, "suction": -0.2, "high": 0.5}.get(name, 0.0) * noise.hunting_psi
    hunting = swing * np.sin(2.0 * np.pi * time_s / noise.hunting_period_s + random.uniform(0.0, 6.0))
    drift = noise.drift_psi_a_minute * time_s / 60.0 if name == "high" else 0.0
    offset = noise.offset_of_limit * limit * random.uniform(-1.0, 1.0)
    return np.asarray(white + hunting + drift + offset)


def line_k(name: str, gauge_psi: float, difference_k: float) -> float:
    """Line temperature that gives a superheat (suction) or subcooling (liquid) at a pressure, R-134a."""
    saturated = saturation("R-134a").temperature_k(gauge_psi * PSI + STANDARD_ATMOSPHERE_PA)
    return saturated + difference_k if name == "suction" else saturated - difference_k


def targets(
    low: float, high: float, rpm: float, superheat_k: float = 5.0, subcooling_k: float = 8.0
) -> dict[str, float]:
    return {
        "low": low,
        "high": high,
        "suction": line_k("suction", low, superheat_k),
        "liquid": line_k("liquid", high, subcooling_k),
        "rpm": rpm,
    }


class Kit:
    """What the tests build sessions from."""

    Turn = Turn
    Noise = Noise
    make = staticmethod(make)
    targets = staticmethod(targets)
    PSI = PSI


@pytest.fixture(scope="session")
def kit() -> type[Kit]:
    return Kit


@pytest.fixture(scope="session")
def two_plateau_csv() -> bytes:
    """A logger's file: idle, then 2,500 rpm with the fan forced to full speed, then idle again.

    About 30 and 150 psi with a superheat of 6 and a subcooling of 37 °F at idle, 43 and 101 psi while
    the fan is forced: common practice, no source.
    """
    idle = targets(30.0, 150.0, 750.0, 6.0 / 1.8, 37.0 / 1.8)
    forced = targets(43.0, 101.0, 2_500.0, 8.0 / 1.8, 25.0 / 1.8)
    turns = [
        Turn(0.0, "start", idle),
        Turn(240.0, "engine", {**idle, "low": 28.0, "high": 165.0, "rpm": 2_500.0}),
        Turn(264.0, "fan", forced, {"high": 8.0}),
        Turn(520.0, "engine", {**forced, "rpm": 750.0}),
        Turn(536.0, "fan", idle, {"high": 25.0}),
    ]
    made = make(turns, 780.0).recording
    low, high, suction, liquid, rpm = (one.values for one in made.channels)
    columns = (made.time_s, low, high, 1.8 * suction - 459.67, 1.8 * liquid - 459.67, rpm)
    header = "Time (s),P_low (psig),P_high (psig),T_suction (°F),T_liquid (°F),Engine speed (rpm)"
    body = [
        f"{t:.0f},{p:.1f},{q:.1f},{s:.1f},{u:.1f},{n:.0f}" for t, p, q, s, u, n in zip(*columns, strict=True)
    ]
    return ("\n".join([header, *body]) + "\n").encode()


class QuietHost(OpenHost):
    """A host of a library of its own with a vehicle in hand, and with what this plugin brings itself."""

    def __init__(self, folder: Path) -> None:
        super().__init__(Store.open(folder / "shop.sqlite", user="R. Moss"), folder)
        self.vehicle = self.add_vehicle()
        self.bench.take_vehicle(self.vehicle)

    def setting(self, plugin: str, key: str) -> str | float | bool:
        from knowngood_sessions.plugin import settings

        assert plugin == "sessions"
        return next(one.default for one in settings() if one.key == key)

    def derived_channels(self, refrigerant: str) -> tuple[DerivedChannel, ...]:
        from knowngood_sessions.own_channels import own_channels

        return own_channels(refrigerant)

    def close(self) -> None:
        super().close()
        self.store.close()


@pytest.fixture
def host(qtbot: QtBot, tmp_path: Path) -> Iterator[OpenHost]:
    store = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    opened = OpenHost(store, tmp_path)
    yield opened
    opened.close()
    store.close()


@pytest.fixture
def quiet(qtbot: QtBot, tmp_path: Path) -> Iterator[QuietHost]:
    opened = QuietHost(tmp_path)
    yield opened
    opened.close()


@pytest.fixture
def window(qtbot: QtBot) -> QWidget:
    """A window that dialogs open over."""
    from PySide6.QtWidgets import QWidget

    made = QWidget()
    qtbot.addWidget(made)
    made.resize(1280, 800)
    made.show()
    return made


@pytest.fixture
def hand(quiet: QuietHost, window: QWidget) -> HandReadings:
    """The sheet for readings typed by hand, closed."""
    from knowngood_sessions.panels.hand_readings import HandReadings

    return HandReadings(quiet, window)


@pytest.fixture
def importer(quiet: QuietHost, window: QWidget) -> LogImport:
    """The import of logs, with nothing asked yet."""
    from knowngood_sessions.panels.importer import LogImport

    return LogImport(quiet, window)


@pytest.fixture
def two_plateau_log(two_plateau_csv: bytes, tmp_path: Path) -> Path:
    path = tmp_path / "skerry idle 2500 idle.csv"
    path.write_bytes(two_plateau_csv)
    return path
