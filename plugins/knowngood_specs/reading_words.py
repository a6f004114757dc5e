"""Readings, sessions and expected ranges of a vehicle in words and cells, in either unit system; no Qt."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood import formatting
from knowngood.formatting import MISSING, clock
from knowngood_refdata.expected.likeness import Grade
from knowngood_refdata.local_air import local_air
from knowngood_refdata.quantities import Kind
from knowngood_refdata.records import Quantity, Standing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.formatting import System
    from knowngood_refdata.expected.forecasts import Forecast
    from knowngood_refdata.expected.interval import Interval
    from knowngood_refdata.expected.likeness import MatchSheet
    from knowngood_refdata.expected.match import Point
    from knowngood_refdata.records import Conditions, Reading, SessionInfo
    from knowngood_specs.deciding import Moved

DOT = "  \N{MIDDLE DOT}  "
SHOWN = (Quantity.LOW_SIDE, Quantity.HIGH_SIDE, Quantity.SUPERHEAT, Quantity.SUBCOOLING, Quantity.VENT)
SHORT = {Quantity.VENT: "Vent"}
NOTHING_KNOWN = (
    "Nothing known yet: the book holds no known-good reading of this configuration, so nothing can be "
    "expected from readings. Record a session on a healthy car, charged by weight, and offer its steady "
    "windows to the book on the check-up page."
)
MEANING = {
    Standing.KNOWN_GOOD: "decided to be of a healthy car; only these stand behind an expected range",
    Standing.CANDIDATE: "offered to the book, not decided yet; they count for nothing",
    Standing.IMPORTED: "known-good in another shop's book; they stay apart until someone here decides",
    Standing.RETIRED: "once known-good, taken back with a reason; they count no longer",
}

Cells = tuple[list[str], list[list[str]]]
"""Headings, and rows under them."""


def point_words(point: Point, system: System) -> str:
    """Conditions of a point in a line: ``780 rpm, fan stage 1, recirculation, 31.5 °C, 48 % RH``."""
    now = point.conditions
    stage = "fan stage not recorded" if point.fan_stage is None else f"fan stage {point.fan_stage}"
    rpm = formatting.text(point.engine_rpm, Kind.ROTATION, system)
    humidity = formatting.text(now.relative_humidity, Kind.FRACTION, system)
    parts = (
        "engine speed not recorded" if point.engine_rpm is None else rpm,
        stage,
        str(now.air_source or "air source not recorded"),
        "ambient not recorded" if now.ambient_k is None else ambient_text(now, system),
        "humidity not recorded" if now.relative_humidity is None else f"{humidity} RH",
    )
    return ", ".join(parts)


def ambient_text(conditions: Conditions, system: System) -> str:
    """The ambient temperature with its unit."""
    return formatting.text(conditions.ambient_k, Kind.TEMPERATURE, system)


def evidence_words(forecasts: Sequence[Forecast]) -> str:
    """What the ranges stand on, or that there is none."""
    known = next((one for one in forecasts if one.known), None)
    if known is not None:
        return f"ranges stand on {known.stands_on}"
    return next((one.reason for one in forecasts), "")


def match_words(sheet: MatchSheet) -> str:
    """Which conditions are equal in the readings behind, and which are corrected for."""
    heads = {Grade.CORRECTED: "Corrected for", Grade.EQUAL: "Equal", Grade.NOT_RECORDED: "Not recorded"}
    return " ".join(
        f"{head}: {', '.join(names)}." for grade, head in heads.items() if (names := sheet.graded(grade))
    )


def interval_text(interval: Interval, quantity: Quantity, system: System, barometer_pa: float) -> str:
    """A range in the units of a system, its unit once."""
    low, high = (
        formatting.text(value, quantity, system, barometer_pa=barometer_pa)
        for value in (interval.low, interval.high)
    )
    return f"{low.removesuffix(formatting.label(quantity, system)).strip()} to {high}"


def moved_words(moved: Moved, system: System, barometer_pa: float) -> str:
    """How the ranges moved under the conditions of a reading that was decided about."""
    told = []
    for quantity, after in moved.after.items():
        before = moved.before[quantity]
        texts = [
            "no range" if one.outer is None else interval_text(one.outer, quantity, system, barometer_pa)
            for one in (before, after)
        ]
        if texts[0] != texts[1]:
            told.append(f"{quantity} was {texts[0]}, is {texts[1]}")
    return f"Ranges moved: {'; '.join(told)}." if told else "No range moved by as much as is shown."


def reading_cells(readings: Sequence[Reading], system: System) -> Cells:
    """A row a reading, the latest first, each pressure as its own gauge would have shown it."""
    heads = [
        "Date and car",
        "Engine\nrpm",
        *(f"{SHORT.get(one, one.capitalize())}\n{formatting.label(one, system)}" for one in SHOWN),
        "Fan\nstage",
        f"Ambient\n{formatting.label(Kind.TEMPERATURE, system)}",
        "Humidity\n%",
        "Air\nsource",
        "Decided by",
        "Why",
    ]
    return heads, [_reading_row(one, system) for one in reversed(readings)]


def session_cells(sessions: Sequence[SessionInfo], system: System) -> Cells:
    """A row a session."""
    heads = ["Session", "Date", "Ambient", "Humidity", "Length", "Technician"]
    return heads, [_session_row(one, system) for one in sessions]


def _reading_row(reading: Reading, system: System) -> list[str]:
    now = reading.conditions
    barometer_pa = local_air(now.barometer_pa, now.altitude_m).pressure_pa

    def number(value: float | None, what: Kind | Quantity) -> str:
        text = formatting.text(value, what, system, barometer_pa=barometer_pa)
        return text.removesuffix(formatting.label(what, system)).strip()

    measured = [number(reading.values[one].value, one) if one in reading.values else MISSING for one in SHOWN]
    return [
        f"{reading.taken_at:%Y-%m-%d}, {reading.unit_name or 'car not named'}",
        number(reading.engine_rpm, Kind.ROTATION),
        *measured,
        MISSING if reading.fan_stage is None else str(reading.fan_stage),
        number(now.ambient_k, Kind.TEMPERATURE),
        number(now.relative_humidity, Kind.FRACTION),
        str(now.air_source or MISSING),
        reading.decided_by or MISSING,
        reading.decided_why or MISSING,
    ]


def _session_row(session: SessionInfo, system: System) -> list[str]:
    now = session.conditions
    return [
        session.title or f"session {session.id}",
        f"{session.started_at:%Y-%m-%d %H:%M}" if session.started_at else MISSING,
        ambient_text(now, system),
        formatting.text(now.relative_humidity, Kind.FRACTION, system),
        clock(session.duration_s),
        session.technician or MISSING,
    ]


def _counted(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
