"""A stored session of typed readings back on the sheet, to be corrected and stored anew."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from knowngood_refdata.records import Role
from knowngood_sessions.core.finding.by_hand import HAND_ROLES, points_of
from knowngood_sessions.panels.hand_point import STAGES
from knowngood_sessions.panels.hand_when import written

if TYPE_CHECKING:
    from knowngood_refdata.records import Channel, Recording, SessionInfo
    from knowngood_sessions.panels.hand_dialog import HandDialog

_STAGE = "fan stage"


def typed_again(dialog: HandDialog, info: SessionInfo, recording: Recording) -> None:
    """Fill a sheet with the readings, conditions and instruments of a stored session."""
    dialog.conditions_form.show_values(info.conditions, info.instruments)
    kept = dialog.snapshot() | {
        "points": _points(recording),
        "form": dialog.conditions_form.snapshot(),
        "refrigerant": info.refrigerant,
        "who": info.technician,
        "note": info.note,
    }
    if info.started_at is not None:
        kept["when"] = written(info.started_at)
    dialog.restore(kept)


def _points(recording: Recording) -> list[dict[str, Any]]:
    by_role = {one.role: one for one in recording.channels if one.role in HAND_ROLES}
    stages = [stage for _, stage in STAGES]
    found = []
    for start_s, _, stage in points_of(recording):
        at = int(np.searchsorted(recording.time_s, start_s))
        typed: dict[str, Any] = {role.value: _text(one, at) for role, one in by_role.items()}
        found.append(typed | {_STAGE: stages.index(stage) if stage in stages else 0})
    return found


def _text(channel: Channel, at: int) -> str:
    value = channel.values[at]
    if not np.isfinite(value):
        return ""
    absolute = channel.role in (Role.LOW_SIDE, Role.HIGH_SIDE) and not channel.gauge
    return f"{value:.12g} {channel.unit}{' abs' if absolute else ''}"
