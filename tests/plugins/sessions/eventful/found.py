"""What the events part of the analysis finds in a made session, each session searched once."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.events import FanHistory, Happenings, happenings
from knowngood_sessions.core.finding.fan_thresholds import fan_thresholds
from knowngood_sessions.core.finding.grid import grids, without_spikes
from knowngood_sessions.core.finding.telling import as_events

if TYPE_CHECKING:
    from tests.plugins.sessions.eventful.happened import Eventful

    from knowngood_refdata.records import Event, FanThreshold


@dataclass(frozen=True)
class Found:
    """The happenings of a session, as records, and the thresholds of its fan."""

    happened: Happenings
    events: tuple[Event, ...]
    thresholds: tuple[FanThreshold, ...]


def found_in(made: Eventful) -> Found:
    """Search a session as the analysis does."""
    derived = derive(made.recording, made.refrigerant, STANDARD_ATMOSPHERE_PA, without_spikes)
    searched = grids(derived, spiky=False)
    parts = [happenings(grid, derived) for grid in searched]
    kinds = [one.name for one in fields(Happenings)]
    happened = Happenings(**{kind: tuple(x for part in parts for x in getattr(part, kind)) for kind in kinds})
    fan = FanHistory(happened.fan, None)
    return Found(happened, as_events(happened, fan, derived), fan_thresholds(searched, fan, made.instruments))
