"""The set-up that a publication prescribes, as typed, and written back for correction."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from knowngood_refdata.published.headings import split_unit
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.span import Span, read_span
from knowngood_refdata.published.terms import BadTable, Doors
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, MeteringDevice, Opening
from knowngood_specs.core.form import Problem
from knowngood_specs.core.tables.limits import read_limits, write_limits

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping
    from typing import Any

RPM, PERCENT = unit("rpm", Kind.ROTATION), unit("%", Kind.FRACTION)
SUN = {"in the shade": False, "in the sun": True}
_MAXIMUM = ("max", "max.", "maximum", "full")
_MINUTE_S = 60.0
_METERING_WORDS = re.compile(r"\s*(?:,|;|/|\bor\b|\band\b)\s*")


def read_set_up(entries: Mapping[str, str]) -> tuple[SetUp | None, tuple[Problem, ...]]:
    """The set-up of a form's entries; None with a problem for every entry that cannot be understood."""
    problems: list[Problem] = []
    found: dict[str, Any] = {}
    for name, read in _READERS.items():
        text = entries.get(name, "").strip()
        if text:
            try:
                found.update(read(text))
            except ValueError as error:
                problems.append(Problem(name, f"{TITLES[name]}: {error}"))
    if problems:
        return None, tuple(problems)
    try:
        return SetUp(**found), ()
    except BadTable as error:
        return None, (Problem("engine", str(error)),)


def write_set_up(set_up: SetUp) -> dict[str, str]:
    """The entries of a form that `read_set_up` reads back as this set-up."""
    speed = "" if set_up.engine_rpm is None else set_up.engine_rpm.printed
    return {
        "engine": " ".join(part for part in ("idle" if set_up.idle else "", speed) if part),
        "blower": _percent(set_up.blower),
        "air_source": set_up.air_source or "",
        "doors": set_up.doors or "",
        "windows": set_up.windows or "",
        "hood": set_up.hood or "",
        "sun": next((words for words, sun in SUN.items() if sun is set_up.sun), ""),
        "soak": _minutes(set_up.soak_s),
        "run_time": _minutes(set_up.run_time_s),
        "gear": set_up.gear,
        "set_up_refrigerant": set_up.refrigerant,
        "metering": ", ".join(set_up.metering),
        "limits": write_limits(set_up.limits),
        "controls": set_up.controls,
        "set_up_notes": set_up.notes,
    }


def _engine(text: str) -> dict[str, Any]:
    idle = re.match(r"idle\b|idling\b", text, re.IGNORECASE)
    rest = text[idle.end() :].strip(" ,:") if idle else text
    bare, _ = split_unit(rest, Kind.ROTATION)
    span: Span | None = read_span(bare, RPM) if bare else None
    return {"idle": bool(idle), "engine_rpm": span}


def _blower(text: str) -> dict[str, Any]:
    if text.casefold() in _MAXIMUM:
        return {"blower": 1.0}
    bare, _ = split_unit(text, Kind.FRACTION)
    return {"blower": _single(bare, read_span(bare, PERCENT))}


def _time(name: str) -> Callable[[str], dict[str, Any]]:
    def read(text: str) -> dict[str, Any]:
        bare, own = split_unit(text, Kind.TIME)
        measure = own.unit if own else unit("min", Kind.TIME)
        return {name: _single(bare, read_span(bare, measure))}

    return read


def _metering(text: str) -> dict[str, Any]:
    devices = [part for part in _METERING_WORDS.split(text) if part]
    known = {str(device): device for device in MeteringDevice}
    unknown = [part for part in devices if part.casefold() not in known]
    if unknown:
        raise BadTable(f"'{unknown[0]}' is not known; known are {', '.join(known)}")
    return {"metering": tuple(known[part.casefold()] for part in devices)}


def _single(text: str, span: Span) -> float:
    if span.low is None or not span.is_point:
        raise BadTable(f"'{text}' is no single number")
    return span.low


def _percent(fraction: float | None) -> str:
    if fraction is None:
        return ""
    return "maximum" if fraction == 1.0 else f"{100.0 * fraction:.10g} %"


def _minutes(seconds: float | None) -> str:
    return "" if seconds is None else f"{seconds / _MINUTE_S:.10g} min"


def _as_it_is(name: str) -> Callable[[str], dict[str, Any]]:
    return lambda text: {name: text}


_READERS: dict[str, Callable[[str], dict[str, Any]]] = {
    "engine": _engine,
    "blower": _blower,
    "air_source": lambda text: {"air_source": AirSource(text)},
    "doors": lambda text: {"doors": Doors(text)},
    "windows": lambda text: {"windows": Opening(text)},
    "hood": lambda text: {"hood": Opening(text)},
    "sun": lambda text: {"sun": SUN[text]},
    "soak": _time("soak_s"),
    "run_time": _time("run_time_s"),
    "gear": _as_it_is("gear"),
    "set_up_refrigerant": _as_it_is("refrigerant"),
    "metering": _metering,
    "limits": lambda text: {"limits": read_limits(text)},
    "controls": _as_it_is("controls"),
    "set_up_notes": _as_it_is("notes"),
}
TITLES = {
    "engine": "engine speed",
    "blower": "blower",
    "air_source": "air source",
    "doors": "doors",
    "windows": "windows",
    "hood": "hood",
    "sun": "sun",
    "soak": "soak before",
    "run_time": "run time before reading",
    "gear": "gear",
    "set_up_refrigerant": "refrigerant",
    "metering": "expansion device",
    "limits": "holds only for",
    "controls": "controls",
    "set_up_notes": "notes",
}
"""The entries of a set-up in their order, by what they are called."""
