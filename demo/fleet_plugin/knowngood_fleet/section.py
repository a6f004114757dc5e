"""The fleet's part of the report on a session: what is due, what leaks and what drifts on its unit."""

from __future__ import annotations

from datetime import UTC, datetime
from html import escape
from typing import TYPE_CHECKING

from knowngood.api import ReportSection
from knowngood_fleet.core.due import State
from knowngood_fleet.gather import one_unit
from knowngood_fleet.words import counters_text, drift_text, due_words, flag_text, leak_text
from knowngood_refdata.queries import sessions

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.formatting import System
    from knowngood_fleet.gather import UnitFound
    from knowngood_refdata.store import Store


def sections(store: Store, session_id: int, system: System) -> Sequence[ReportSection]:
    """The section for a session; none when its car is no unit of the fleet."""
    unit_id = sessions.info(store, session_id).unit_id
    found = None if unit_id is None else one_unit(store, unit_id, datetime.now(UTC).astimezone().date())
    return [] if found is None else [ReportSection("Fleet", 60, html(found, system))]


def html(found: UnitFound, system: System) -> str:
    """What is on record of a unit, every text escaped."""
    unit = found.unit
    head = f"{unit.name}, {unit.depot}, {unit.body}: {counters_text(unit, system)}"
    pressing = [one for one in found.due if one.state is not State.LATER]
    lines = [
        f"<p><b>{escape(head)}</b></p>",
        f"<p><b>Refrigerant lost:</b> {escape(leak_text(found.leak, system))}</p>",
    ]
    if told := flag_text(found, system):
        lines.append(f"<p class='outcome'>{escape(told)}</p>")
    drifts = "<br/>".join(escape(drift_text(one, system)) for one in found.drifts)
    if drifts:
        lines.append(f"<p><b>Against its sisters</b><br/>{drifts}</p>")
    checks = "<br/>".join(escape(f"{one.state}: {one.check.name}, {due_words(one)}") for one in pressing)
    lines.append(f"<p><b>Checks</b><br/>{checks or 'nothing is due'}</p>")
    return "".join(lines)
