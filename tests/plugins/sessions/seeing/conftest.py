"""A library with the two-plateau session in it, that session as the screen shows it, and the page with it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_refdata.drafts import SpecDraft, VehicleDraft
from knowngood_refdata.queries import vehicles
from knowngood_refdata.records import Conditions, SourceKind
from knowngood_refdata.store import Store
from knowngood_sessions.gather import Session, load
from knowngood_sessions.library import Facts, prepare_for, save_log
from knowngood_sessions.own_channels import own_channels
from knowngood_sessions.panels.plotter import PlotterPage

from .the_page import take

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from pytestqt.qtbot import QtBot

    from ..conftest import QuietHost

GAS = SpecDraft("refrigerant", None, "R-134a", SourceKind.UNDER_HOOD_LABEL, "label")
SKERRY = VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, specs=(GAS,))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    opened = Store.open(tmp_path / "library.sqlite", user="R. Moss")
    yield opened
    opened.close()


def put(store: Store, data: bytes, name: str = "run 14.csv", vehicle_id: int | None = None) -> int:
    """A log in the library; the session's number."""
    prepared = prepare_for(store, data, name)
    facts = Facts(vehicle_id, "R-134a", Conditions(fan_stage=1, ambient_k=304.0, run_time_s=600.0))
    return save_log(store, prepared, prepared.mapping, facts, data).session_id


@pytest.fixture
def put_log() -> Callable[..., int]:
    return put


@pytest.fixture
def session(store: Store, two_plateau_csv: bytes) -> Session:
    vehicle_id = vehicles.add_vehicle(store, SKERRY)
    return load(store, put(store, two_plateau_csv, vehicle_id=vehicle_id), own_channels("R-134a"))


@pytest.fixture
def number(quiet: QuietHost, put_log: Callable[..., int], two_plateau_csv: bytes) -> int:
    """The number of the session that the page shows."""
    return put_log(quiet.store, two_plateau_csv, "Skerry idle.csv", quiet.vehicle.id)


@pytest.fixture
def page(quiet: QuietHost, number: int, qtbot: QtBot) -> PlotterPage:
    made = PlotterPage(quiet)
    # Widgets are closed before fixtures end; what still runs then would come back to nothing.
    qtbot.addWidget(
        made, before_close_func=lambda _: qtbot.waitUntil(lambda: not quiet.tasks.running, timeout=10_000)
    )
    made.resize(1080, 700)
    made.show()
    take(made, quiet, number, qtbot)
    return made
