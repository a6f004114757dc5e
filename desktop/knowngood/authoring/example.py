"""An invented car with a recorded session, for trying out a plugin where something is to be seen.

The figures are those of a small healthy system with R-134a on a warm day; they are made up and compare with
nothing.
"""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

import numpy as np

from knowngood_refdata.drafts import SessionDraft, SpecDraft, VehicleDraft
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA, ZERO_CELSIUS_K
from knowngood_refdata.queries import sessions, vehicles
from knowngood_refdata.records import (
    AirSource,
    Channel,
    Conditions,
    Opening,
    Recording,
    Role,
    SourceKind,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from knowngood_refdata.records import SessionInfo
    from knowngood_refdata.store import Store

REFRIGERANT = "R-134a"
CONDITIONS = Conditions(
    ambient_k=303.15,
    intake_k=303.15,
    relative_humidity=0.5,
    barometer_pa=STANDARD_ATMOSPHERE_PA,
    blower=1.0,
    air_source=AirSource.FRESH,
    doors=Opening.OPEN,
    hood=Opening.OPEN,
    sun=False,
    fan_stage=1,
)
_IDLE_S, _RAISED_S = 180, 300


def example_session(store: Store) -> SessionInfo:
    """Put a vehicle, one car of it and a session of five minutes into a library; the session.

    The engine idles for three minutes and is held at 2000 a minute for two; samples are a second apart.
    """
    charge = SpecDraft("charge", 0.48, "480 g", SourceKind.UNDER_HOOD_LABEL, "label under the hood")
    vehicle_id = vehicles.add_vehicle(
        store, VehicleDraft("Tarn", "Skerry", "1.6 petrol", 2021, specs=(charge,))
    )
    unit_id = vehicles.add_unit(store, vehicle_id, fleet_number="T-1")
    draft = SessionDraft(
        vehicle_id=vehicle_id,
        title="Example",
        refrigerant=REFRIGERANT,
        source_name="example.csv",
        conditions=CONDITIONS,
        unit_id=unit_id,
        started_at=datetime(2025, 6, 3, 14, 0, tzinfo=UTC),
    )
    recorded = example_recording()
    content = ",".join(one.name for one in recorded.channels).encode()
    return sessions.info(store, sessions.save(store, draft, recorded, content))


def example_recording() -> Recording:
    """The samples of the session: pressures in bar gauge, temperatures in °C."""
    time_s = np.arange(_RAISED_S, dtype=np.float64)
    raised = np.clip((time_s - _IDLE_S) / 10.0, 0.0, 1.0)
    wave = np.sin(time_s / 7.0)

    def channel(role: Role, unit: str, idle: float, rise: float, swing: float) -> Channel:
        values: NDArray[np.float64] = idle + rise * raised + swing * wave
        return Channel(role.value.capitalize(), role, unit, gauge=unit == "bar", values=values.round(3))

    return Recording(
        time_s,
        (
            channel(Role.LOW_SIDE, "bar", 2.1, -0.2, 0.02),
            channel(Role.HIGH_SIDE, "bar", 12.5, 1.0, 0.05),
            channel(Role.SUCTION_LINE, "°C", 9.0, -1.0, 0.1),
            channel(Role.LIQUID_LINE, "°C", 43.0, 1.0, 0.1),
            channel(Role.VENT, "°C", 8.0, -1.5, 0.1),
            channel(Role.AMBIENT, "°C", 30.0, 0.0, 0.05),
            channel(Role.ENGINE_SPEED, "rpm", 800.0, 1200.0, 5.0),
        ),
    )


def example_samples() -> dict[str, NDArray[np.float64]]:
    """The samples of the session in SI, pressures absolute, by the roles of their channels."""
    to_si = {"bar": (1e5, STANDARD_ATMOSPHERE_PA), "°C": (1.0, ZERO_CELSIUS_K), "rpm": (1.0, 0.0)}
    found = {}
    for channel in example_recording().channels:
        factor, offset = to_si[channel.unit]
        found[channel.role.value] = channel.values * factor + offset
    return found
