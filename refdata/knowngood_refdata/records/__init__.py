"""Frozen records that leave the store: everything in SI, every name in the words of the trade.

Pressures are absolute pascals, temperatures kelvins, masses kilograms, times seconds, fractions 0 to 1.
Engine speed is the one exception: it stays in revolutions per minute, the unit of every instrument.
An ORM object never leaves the store; these do, and they can be passed between threads and plugins.
"""

from __future__ import annotations

from knowngood_refdata.records.findings import (
    Behaviour,
    Event,
    EventKind,
    Evidence,
    FanThreshold,
    Findings,
    Recovery,
    Response,
    SteadyWindow,
    Stroke,
    StrokeFinding,
    Unsettled,
    Verdict,
)
from knowngood_refdata.records.measuring import (
    AirSource,
    Conditions,
    Estimate,
    Instruments,
    Opening,
    PressureInstrument,
    Quantity,
    Role,
    Thermometer,
)
from knowngood_refdata.records.outcome import CaseFound, FoundOut, Weighed
from knowngood_refdata.records.reading import Reading, Standing
from knowngood_refdata.records.session import Channel, Recording, SessionInfo
from knowngood_refdata.records.vehicle import (
    CompressorKind,
    MeteringDevice,
    SourceKind,
    SpecDecided,
    SpecValue,
    Unit,
    Vehicle,
)

__all__ = [
    "AirSource",
    "Behaviour",
    "CaseFound",
    "Channel",
    "CompressorKind",
    "Conditions",
    "Estimate",
    "Event",
    "EventKind",
    "Evidence",
    "FanThreshold",
    "Findings",
    "FoundOut",
    "Instruments",
    "MeteringDevice",
    "Opening",
    "PressureInstrument",
    "Quantity",
    "Reading",
    "Recording",
    "Recovery",
    "Response",
    "Role",
    "SessionInfo",
    "SourceKind",
    "SpecDecided",
    "SpecValue",
    "Standing",
    "SteadyWindow",
    "Stroke",
    "StrokeFinding",
    "Thermometer",
    "Unit",
    "Unsettled",
    "Vehicle",
    "Verdict",
    "Weighed",
]
