"""Units as loggers write them: in the header, in a row of their own, with or without gauge or absolute."""

from __future__ import annotations

import re
from dataclasses import dataclass

from knowngood_refdata.quantities import UNITS, Kind, MeasuringUnit

_KINDS = (Kind.PRESSURE, Kind.TEMPERATURE, Kind.ROTATION, Kind.FRACTION, Kind.TIME)
_GAUGE = re.compile(r"^(.*?)[\s_(\[]*(g|ga|gauge|gage|rel|a|abs|absolute)[)\]]?$")
_PLAIN_GAUGE = frozenset({"psi", "bar", "kpa", "mpa", "mbar", "pa", "kgf/cm2", "kg/cm2", "kgf/cm²"})
_LONGEST, _LONGEST_HEADER = 40, 200
"""The pattern of a unit takes a time that grows with the square of the text; no unit is so long."""

_TRAILING = re.compile(r"^(.*?[^\s_/,])(?:\s*/\s*|[\s_,]+)([^\s_,]+)$")


@dataclass(frozen=True, slots=True)
class WrittenUnit:
    """A unit that was recognised; ``gauge`` is None where the text does not say."""

    unit: MeasuringUnit
    gauge: bool | None = None

    @property
    def kind(self) -> Kind:
        """The kind of quantity."""
        return self.unit.kind


def written_unit(text: str) -> WrittenUnit | None:
    """The unit that a text names, or None.

    >>> [(one.unit.symbol, one.gauge) for one in map(written_unit, ("psig", "bar(a)", "kPa")) if one]
    [('psi', True), ('bar', False), ('kPa', None)]
    """
    name = text.strip().strip("[](){}").strip().casefold()
    if not name or len(name) > _LONGEST:
        return None
    found = _unit(name)
    if found is not None:
        return WrittenUnit(found)
    match = _GAUGE.match(name)
    if match and match[1].strip() in _PLAIN_GAUGE:
        found = _unit(match[1].strip())
        if found is not None:
            return WrittenUnit(found, gauge=match[2][0] in "gr")
    return None


def is_unit(text: str) -> bool:
    """Whether a cell is a unit, or stands for having none, such as ``hh:mm:ss`` or ``V``."""
    name = text.strip().strip("[](){}").strip().casefold()
    others = {
        "v",
        "mv",
        "a",
        "ma",
        "hz",
        "w",
        "kw",
        "km/h",
        "mph",
        "hh:mm:ss",
        "hh:mm",
        "mm:ss",
        "on/off",
        "0/1",
        "-",
        "clock",
    }
    return name in others or written_unit(text) is not None


def name_and_unit(header: str) -> tuple[str, str]:
    """The name and the unit in a header cell, the unit empty when there is none.

    >>> [name_and_unit(cell) for cell in ("P_low (psig)", "T1 [°C]", "RPM", "Low side, bar", "Fan (left)")]
    [('P_low', 'psig'), ('T1', '°C'), ('RPM', 'RPM'), ('Low side', 'bar'), ('Fan (left)', '')]
    """
    header = header.strip()
    if written_unit(header) is not None:
        return header, header
    if len(header) > _LONGEST_HEADER:
        return header, ""
    opening = _opening_of_last_bracket(header)
    if opening:
        inside = header[opening + 1 : -1].strip()
        if is_unit(inside):
            return header[:opening].rstrip(" _,/"), inside
        return header, ""
    match = _TRAILING.match(header)
    if match is None or written_unit(match[2]) is None:
        return header, ""
    # A lone letter is a unit only behind a name that speaks of time or temperature: "T1 C", "time_s".
    if len(match[2]) == 1 and not (match[2] in "sCF" and match[1][0] in "tT"):
        return header, ""
    return match[1].rstrip(), match[2]


def _opening_of_last_bracket(text: str) -> int:
    """Where the bracket opens that the text ends with; 0 when there is none."""
    pairs = {")": "(", "]": "[", "}": "{"}
    if not text or text[-1] not in pairs:
        return 0
    depth = 0
    for index in range(len(text) - 1, -1, -1):
        depth += (text[index] == text[-1]) - (text[index] == pairs[text[-1]])
        if depth == 0:
            return index
    return 0


def _unit(name: str) -> MeasuringUnit | None:
    for kind in _KINDS:
        for one in UNITS:
            if one.kind is kind and name in (one.symbol.casefold(), *one.aliases):
                return one
    return None
