"""A library with a session and sixteen known-good readings of eight cars like its own, and a host of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.drafts import ReadingDraft, SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.queries import readings, sessions, vehicles
from knowngood_refdata.records import (
    Channel,
    CompressorKind,
    Estimate,
    Findings,
    Recording,
    Response,
    Role,
    SourceKind,
    Standing,
    Verdict,
)
from knowngood_refdata.store import Store

from ..window_host import window_host
from .healthy_cars import SUMMER, car, window
from .healthy_cars import readings as known_good

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from knowngood.host import WindowHost

IDLE = window()
FAN_FORCED = window(1560.0, stage=2, label="1560 rpm", start_s=120.0)
RESPONSE = Response(
    780.0, 1560.0, Estimate(-5e4, 4e3), Estimate(2e5, 1e4), Verdict.FALLS, Verdict.RISES, same_fan_stage=True
)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    yield opened
    opened.close()


@pytest.fixture
def host(store: Store, tmp_path: Path, qtbot: QtBot) -> Iterator[WindowHost]:
    with window_host(store, tmp_path, []) as made:
        yield made


@pytest.fixture
def session_id(store: Store) -> int:
    vehicle = vehicles.add_vehicle(
        store,
        VehicleDraft(
            "Tarn", "Skerry", "1.6 petrol", 2021, 2023, family="A",
            specs=(
                spec("compressor", CompressorKind.FIXED.value),
                spec("refrigerant", "R-134a"),
                SpecDraft("charge", 0.47, "470 ± 15 g", SourceKind.UNDER_HOOD_LABEL, "label", 0.015),
            ),
        ),
    )  # fmt: skip
    units = [vehicles.add_unit(store, vehicle, fleet_number=f"car {number}") for number in range(8)]
    drafts = [
        ReadingDraft(
            vehicle, units[(one.unit_id or 1) - 1], None, one.taken_at, one.conditions, one.engine_rpm,
            one.fan_stage, one.values, Standing.KNOWN_GOOD, "weighed in",
        )
        for one in known_good(car())
    ]  # fmt: skip
    readings.add_many(store, drafts)
    findings = Findings(windows=(IDLE, FAN_FORCED), responses=(RESPONSE,))
    time = np.arange(240.0)
    recording = Recording(
        time,
        (
            Channel("P1", Role.LOW_SIDE, "psi", True, np.full(240, 30.0)),
            Channel("P2", Role.HIGH_SIDE, "psi", True, np.full(240, 150.0)),
        ),
    )
    draft = SessionDraft(vehicle, "Season check", "R-134a", "log.csv", SUMMER, findings=findings)
    return sessions.save(store, draft, recording, b"log")


def spec(field: str, text: str) -> SpecDraft:
    return SpecDraft(field, None, text, SourceKind.UNDER_HOOD_LABEL, "label")
