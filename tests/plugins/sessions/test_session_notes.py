"""What a session lacks is told to whoever reads its check-up."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood.api import NoteLevel
from knowngood.loader import Plugins, find_sources
from knowngood_refdata.drafts import SessionDraft
from knowngood_refdata.queries import sessions
from knowngood_refdata.records import (
    AirSource,
    Channel,
    Conditions,
    Estimate,
    Findings,
    Instruments,
    PressureInstrument,
    Quantity,
    Recording,
    Role,
    SessionInfo,
    SteadyWindow,
)
from knowngood_refdata.store import Store
from knowngood_sessions.session_notes import notes

if TYPE_CHECKING:
    from pathlib import Path

KNOWN = Conditions(ambient_k=304.0, relative_humidity=0.5, air_source=AirSource.RECIRCULATION, fan_stage=1)
OWN = Instruments(low=PressureInstrument(0.5, 10e5, "digital gauge, class 0.5"))
INFO = SessionInfo(
    1,
    1,
    None,
    "Season check",
    datetime(2025, 6, 2, tzinfo=UTC),
    "R-134a",
    KNOWN,
    OWN,
    240.0,
    240,
    "a.csv",
    "",
)
READ = {one: Estimate(280.0, 0.5) for one in (Quantity.LOW_SIDE, Quantity.SUPERHEAT, Quantity.SUBCOOLING)}
IDLE = SteadyWindow(10.0, 70.0, 780.0, 1, "idle", READ)


def told(info: SessionInfo, *windows: SteadyWindow) -> list[str]:
    return [f"{one.level}: {one.text}" for one in notes(info, Findings(windows=windows))]


def test_nothing_is_told_of_a_session_that_lacks_nothing() -> None:
    assert told(INFO, IDLE) == []


def test_what_a_comparison_cannot_do_without_is_a_caution_in_the_order_of_importance() -> None:
    bare = replace(INFO, conditions=Conditions(ambient_k=304.0))
    (said,) = told(bare, replace(IDLE, fan_stage=None))
    assert said.startswith("caution: Not recorded: humidity, fan stage, air source.")


def test_one_window_without_engine_speed_is_enough_for_a_caution() -> None:
    (said,) = told(INFO, IDLE, replace(IDLE, engine_rpm=None, start_s=100.0, end_s=160.0))
    assert "Not recorded: engine speed." in said


def test_conditions_that_may_be_missing_are_not_told() -> None:
    assert KNOWN.doors is None
    assert KNOWN.sun is None
    assert told(INFO, IDLE) == []


def test_common_instruments_are_named_as_what_the_uncertainties_stand_on() -> None:
    (said,) = told(replace(INFO, instruments=Instruments()), IDLE)
    assert said.startswith("remark: ")
    assert "dial gauge class 1.6, 10 bar" in said


@pytest.mark.parametrize(
    ("quantity", "needs"),
    [(Quantity.SUPERHEAT, "suction line"), (Quantity.SUBCOOLING, "liquid line")],
)
def test_a_quantity_that_no_window_knows_is_a_remark_with_what_it_needs(
    quantity: Quantity, needs: str
) -> None:
    without = replace(IDLE, values={name: one for name, one in READ.items() if name is not quantity})
    (said,) = told(INFO, without)
    assert said.startswith(f"remark: No {quantity} is known")
    assert needs in said
    assert told(INFO, without, IDLE) == []


def test_the_plugin_brings_its_notes_through_the_hook(tmp_path: Path) -> None:
    store = Store.open(tmp_path / "library.sqlite", user="Ada Fell")
    time = np.arange(60.0)
    recording = Recording(time, (Channel("P1", Role.LOW_SIDE, "psi", True, np.full(60, 30.0)),))
    found = Findings(windows=(IDLE,))
    draft = SessionDraft(None, "Season check", "R-134a", "log.csv", Conditions(), findings=found)
    number = sessions.save(store, draft, recording, b"log")
    plugins = Plugins(one for one in find_sources() if one.built_in)
    try:
        levels = [one.level for one in plugins.session_checks(store, number)]
    finally:
        plugins.close()
        store.close()
    assert levels == [NoteLevel.CAUTION, NoteLevel.REMARK]
