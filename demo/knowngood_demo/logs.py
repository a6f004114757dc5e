"""The demo's log files, each with a truth file beside it that says what really happened."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_demo import composed
from knowngood_demo.cars import PLOVER, SKERRY
from knowngood_demo.csvfile import METRIC_COLUMNS, US_COLUMNS, recording, with_unit_row, with_units_in_header
from knowngood_demo.design import HEALTHY, Faults, Surroundings
from knowngood_demo.instruments import DIGITAL, measured
from knowngood_demo.sessions import SUMMER_DAY, Plateau, fan_changes, idle_fast_idle, plateaus
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, ZERO_CELSIUS_K
from knowngood_refdata.records import (
    AirSource,
    Conditions,
    EventKind,
    Opening,
    Quantity,
    Recording,
)

if TYPE_CHECKING:
    from pathlib import Path

    from knowngood_demo.cars import Car
    from knowngood_demo.run import Trace

UNDERCHARGED = Faults(charge=0.70)
_CLOCK_BEGINS = datetime(2025, 8, 14, 10, 42, 0)  # noqa: DTZ001 - a logger's clock knows no time zone
_COMPOSED_COLUMNS = tuple(
    column for column in US_COLUMNS if column.name not in {"Cabin intake", "Humidity", "Coolant"}
)


@dataclass(frozen=True, slots=True)
class DemoLogs:
    """The files of the demo; beside each CSV lies its truth, same name, ``.truth.json``."""

    folder: Path
    skerry_as_found: Path
    skerry_healthy: Path
    two_plateaus: Path
    plover_metric: Path

    @property
    def all(self) -> tuple[Path, ...]:
        """Every log."""
        return (self.skerry_as_found, self.skerry_healthy, self.two_plateaus, self.plover_metric)


def truth_path(log: Path) -> Path:
    """Where the truth of a log lies."""
    return log.with_suffix(".truth.json")


def read_truth(log: Path) -> dict[str, Any]:
    """The truth of a log: vehicle, charge, conditions, plateaus, events, response; SI throughout."""
    truth: dict[str, Any] = json.loads(truth_path(log).read_text(encoding="utf-8"))
    return truth


def conditions_of(around: Surroundings, fan_stage: int | None = 1) -> Conditions:
    """The conditions a technician would have noted for a demo run."""
    return Conditions(
        ambient_k=around.ambient_k,
        intake_k=around.intake_k,
        relative_humidity=around.relative_humidity,
        barometer_pa=around.barometer_pa,
        blower=around.blower,
        air_source=AirSource.RECIRCULATION,
        doors=Opening.CLOSED,
        hood=Opening.OPEN,
        sun=False,
        fan_stage=fan_stage,
        run_time_s=600.0,
    )


def write_demo_logs(folder: Path) -> DemoLogs:
    """Write the demo's logs and their truth files; the same bytes every time.

    Raises
    ------
    OSError
        When the folder cannot be made or written.
    """
    folder.mkdir(parents=True, exist_ok=True)
    return DemoLogs(
        folder,
        skerry_as_found=_skerry(folder / "skerry_as_found.csv", UNDERCHARGED, 11),
        skerry_healthy=_skerry(folder / "skerry_healthy.csv", HEALTHY, 12),
        two_plateaus=_two_plateaus(folder / "two_plateaus.csv"),
        plover_metric=_plover(folder / "plover_metric.csv"),
    )


def skerry_session(
    faults: Faults = HEALTHY, seed: int = 0, around: Surroundings = SUMMER_DAY
) -> tuple[Trace, Recording]:
    """A Skerry through idle, 2,000 rpm and idle again: what was, and what the logger kept of it."""
    trace = idle_fast_idle(SKERRY, around, faults)
    seen = measured(trace, around, DIGITAL, np.random.default_rng(seed))
    return trace, recording(seen, US_COLUMNS, around.barometer_pa)


def _skerry(path: Path, faults: Faults, seed: int) -> Path:
    trace, record = skerry_session(faults, seed)
    path.write_bytes(with_units_in_header(record, US_COLUMNS))
    _write_truth(path, _simulated_truth(SKERRY, faults, SUMMER_DAY, trace))
    return path


def _plover(path: Path) -> Path:
    around = Surroundings(ZERO_CELSIUS_K + 28.0, ZERO_CELSIUS_K + 25.0, 0.45)
    trace = idle_fast_idle(PLOVER, around, fast_rpm=1_500.0)
    seen = measured(trace, around, DIGITAL, np.random.default_rng(14))
    record = recording(seen, METRIC_COLUMNS, around.barometer_pa)
    path.write_bytes(with_unit_row(record, METRIC_COLUMNS, _CLOCK_BEGINS))
    _write_truth(path, _simulated_truth(PLOVER, HEALTHY, around, trace))
    return path


def _two_plateaus(path: Path) -> Path:
    seen = composed.two_plateaus(np.random.default_rng(13))
    record = recording(seen, _COMPOSED_COLUMNS, STANDARD_ATMOSPHERE_PA)
    path.write_bytes(with_units_in_header(record, _COMPOSED_COLUMNS))
    _write_truth(path, _composed_truth())
    return path


def _simulated_truth(car: Car, faults: Faults, around: Surroundings, trace: Trace) -> dict[str, Any]:
    settled = plateaus(trace, around)
    return {
        "vehicle": car.name,
        "refrigerant": car.design.refrigerant,
        "label_kg": car.label_kg,
        "charge_kg": car.label_kg * faults.charge,
        "conditions": asdict(conditions_of(around)),
        "plateaus": [asdict(one) for one in settled],
        "events": [
            {"kind": EventKind.FAN_STAGE_UP if stage == 2 else EventKind.FAN_STAGE_DOWN, "at_s": at}
            for at, stage in fan_changes(trace)
        ],
        "response": _response(settled),
    }


def _response(settled: list[Plateau]) -> dict[str, float] | None:
    """Change of both sides from idle to the higher speed at the same fan stage."""
    idle = settled[0]
    faster = next(
        (one for one in settled if one.engine_rpm > idle.engine_rpm and one.fan_stage == idle.fan_stage), None
    )
    if faster is None:
        return None
    return {
        "from_rpm": idle.engine_rpm,
        "to_rpm": faster.engine_rpm,
        "low_pa": faster.values[Quantity.LOW_SIDE] - idle.values[Quantity.LOW_SIDE],
        "high_pa": faster.values[Quantity.HIGH_SIDE] - idle.values[Quantity.HIGH_SIDE],
    }


def _composed_truth() -> dict[str, Any]:
    around = Surroundings(composed.AMBIENT_K, composed.AMBIENT_K, 0.50)
    stretches = (
        ("idle", 60, composed.UP_S - 2, 1, composed.IDLE),
        ("2500 rpm", composed.FORCED_S + 60, composed.DOWN_S - 2, 2, composed.FORCED),
        ("idle", composed.RELEASED_S + 150, composed.LENGTH_S - 2, 1, composed.IDLE),
    )
    return {
        "vehicle": "not in the library",
        "refrigerant": composed.REFRIGERANT,
        "conditions": asdict(conditions_of(around)),
        "plateaus": [
            {
                "label": label,
                "start_s": start,
                "end_s": end,
                "engine_rpm": level.rpm,
                "fan_stage": stage,
                "values": level.in_si(),
            }
            for label, start, end, stage, level in stretches
        ],
        "events": [
            {"kind": EventKind.FAN_STAGE_UP, "at_s": composed.FORCED_S},
            {"kind": EventKind.FAN_STAGE_DOWN, "at_s": composed.RELEASED_S},
        ],
        "response": None,
    }


def _write_truth(log: Path, truth: dict[str, Any]) -> None:
    text = json.dumps({"log": log.name, **truth}, indent=1, default=float)
    truth_path(log).write_text(text + "\n", encoding="utf-8")
