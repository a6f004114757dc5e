"""What a column is taken for: its use, its unit, and for a pressure whether it is gauge or absolute."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TypeAlias

from knowngood_refdata.quantities import Kind, UnknownUnit, unit
from knowngood_refdata.records import Role
from knowngood_refdata.role_kinds import KIND_OF_ROLE
from knowngood_sessions.core.reading.clock import TIME_UNITS
from knowngood_sessions.core.reading.units import written_unit


class Special(StrEnum):
    """Uses of a column that are no channel's role."""

    TIME = "time"
    LEFT_OUT = "leave out"


Use: TypeAlias = Role | Special


class MappingUnreadable(ValueError):  # noqa: N818 - reads as what it is
    """A mapping given as text does not say what a column is."""


@dataclass(frozen=True, slots=True)
class Assignment:
    """What a column is taken for. ``None`` or an empty unit means: not decided.

    ``confirmed`` is set where a person has decided against what the values look like.
    """

    use: Use | None = None
    unit: str = ""
    gauge: bool | None = None
    confirmed: bool = False

    @property
    def kind(self) -> Kind | None:
        """The kind of quantity that the use asks for, None where any number will do."""
        if self.use is Special.TIME:
            return Kind.TIME
        return KIND_OF_ROLE.get(self.use) if isinstance(self.use, Role) else None

    @property
    def asks_gauge(self) -> bool:
        """Whether gauge or absolute matters: for the pressures of the two sides."""
        return self.use in (Role.LOW_SIDE, Role.HIGH_SIDE)

    @property
    def words(self) -> str:
        """The assignment as text: ``low side, psi, gauge``."""
        parts = ["" if self.use is None else self.use.value, self.unit]
        if self.asks_gauge and self.gauge is not None:
            parts.append("gauge" if self.gauge else "absolute")
        return ", ".join(part for part in parts if part)


ColumnMapping: TypeAlias = Mapping[str, Assignment]


def use_named(name: str) -> Use:
    """The use of a name, whatever its case.

    Raises
    ------
    MappingUnreadable
        When there is no such use.

    >>> use_named("Low side")
    <Role.LOW_SIDE: 'low side'>
    """
    wanted = name.strip().casefold()
    uses: tuple[Use, ...] = (*Role, *Special)
    for use in uses:
        if use.value == wanted:
            return use
    known = ", ".join(use.value for use in uses)
    raise MappingUnreadable(f"'{name}' is nothing that a column can be used as; known are: {known}.")


def assignment_from_words(words: str) -> Assignment:
    """The assignment that a text such as ``low side, psi, gauge`` or ``leave out`` gives.

    Raises
    ------
    MappingUnreadable
        When a part is not known, or the unit does not fit the use.
    """
    parts = [part.strip() for part in words.split(",")]
    use = use_named(parts[0])
    gauge: bool | None = None
    unit_name = ""
    for part in parts[1:]:
        if part.casefold() in ("gauge", "absolute"):
            gauge = part.casefold() == "gauge"
        else:
            unit_name = part
    written = written_unit(unit_name)
    if gauge is None and written is not None:
        gauge = written.gauge
    found = Assignment(use, unit_name, gauge, confirmed=True)
    return Assignment(use, fitting_unit(found), gauge, confirmed=True)


def fitting_unit(assignment: Assignment) -> str:
    """The unit of an assignment in its usual spelling.

    Raises
    ------
    MappingUnreadable
        When the use needs another kind of unit.
    """
    kind, name = assignment.kind, assignment.unit
    if kind is None or not name or name in TIME_UNITS:
        return name
    written = written_unit(name)
    try:
        return unit(written.unit.symbol if written else name, kind).symbol
    except UnknownUnit as error:
        raise MappingUnreadable(f"{assignment.use}: {error}.") from None


def as_plain(mapping: ColumnMapping) -> dict[str, dict[str, object]]:
    """A mapping as text and truth values, for keeping."""
    return {
        name: {"use": None if one.use is None else one.use.value, "unit": one.unit, "gauge": one.gauge}
        for name, one in mapping.items()
    }


def from_plain(plain: Mapping[str, Mapping[str, object]]) -> dict[str, Assignment]:
    """The mapping that `as_plain` wrote; what no longer makes sense is left undecided."""
    mapping = {}
    for name, one in plain.items():
        use, unit_name, gauge = one.get("use"), one.get("unit"), one.get("gauge")
        try:
            found = Assignment(
                use_named(use) if isinstance(use, str) else None,
                unit_name if isinstance(unit_name, str) else "",
                gauge if isinstance(gauge, bool) else None,
            )
            fitting_unit(found)
        except MappingUnreadable:
            found = Assignment()
        mapping[name] = found
    return mapping
