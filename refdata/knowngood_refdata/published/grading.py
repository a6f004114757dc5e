"""The set-up of a published table against the system in hand: equal, differs, or not said."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from knowngood_refdata.published.terms import Doors
from knowngood_refdata.records import Opening

if TYPE_CHECKING:
    from collections.abc import Iterator

    from knowngood_refdata.published.set_up import SetUp, Today
    from knowngood_refdata.published.table import PerformanceTable

ENGINE_WITHIN_RPM = 100.0
"""How far from a printed engine speed still counts as it (common practice, no source)."""

IDLE_UP_TO_RPM = 1_100.0
"""The fastest that a warm engine idles with the system on (common practice, no source)."""

BLOWER_WITHIN = 0.10
"""How far from a printed blower speed still counts as it (common practice, no source)."""


class Item(StrEnum):
    """What is compared."""

    REFRIGERANT = "refrigerant"
    METERING = "expansion device"
    CIRCUIT = "circuit"
    ENGINE_SPEED = "engine speed"
    BLOWER = "blower"
    AIR_SOURCE = "air source"
    DOORS = "doors"
    WINDOWS = "windows"
    HOOD = "hood"
    SUN = "sun"
    RUN_TIME = "run time"
    SOAK = "soak"
    GEAR = "gear"


class Grade(StrEnum):
    """How one item compares."""

    EQUAL = "equal"
    DIFFERS = "differs"
    NOT_SAID_TODAY = "not recorded today"
    NOT_SAID_IN_TABLE = "not said in the table"


AT_REST_NEEDS = frozenset({Item.REFRIGERANT, Item.METERING, Item.CIRCUIT})
"""What must not differ for a system at rest."""

RUNNING_NEEDS = AT_REST_NEEDS | {
    Item.ENGINE_SPEED, Item.BLOWER, Item.AIR_SOURCE, Item.DOORS, Item.WINDOWS, Item.HOOD,
}  # fmt: skip
"""What must not differ for a running system; the other items are told and leave the judgement to people."""


@dataclass(frozen=True, slots=True)
class Graded:
    """One item with its grade; the texts say what either side has, empty where it says nothing."""

    item: Item
    grade: Grade
    in_table: str
    today: str

    @property
    def words(self) -> str:
        """The comparison as a clause: ``doors: closed in the table, all open today``."""
        there = f"{self.in_table} in the table" if self.in_table else "not said in the table"
        here = f"{self.today} today" if self.today else "not recorded today"
        return f"{self.item}: {there}, {here}"


def grade(table: PerformanceTable, today: Today) -> tuple[Graded, ...]:
    """Every item of the set-up, compared; what either side does not say is never taken as equal."""
    return tuple(_grade(table, today))


def _grade(table: PerformanceTable, today: Today) -> Iterator[Graded]:
    printed, now = table.set_up, today.conditions
    same = printed.refrigerant and _folded(printed.refrigerant) == _folded(today.refrigerant)
    yield _graded(Item.REFRIGERANT, printed.refrigerant, today.refrigerant, same=bool(same))
    devices = " or ".join(printed.metering)
    yield _graded(Item.METERING, devices, today.metering or "", same=today.metering in printed.metering)
    yield _same(Item.CIRCUIT, table.circuit, today.circuit)
    yield _engine(printed, today)
    yield _blower(printed.blower, now.blower)
    yield _same(Item.AIR_SOURCE, printed.air_source, now.air_source)
    yield _doors(printed.doors, now.doors)
    yield _same(Item.WINDOWS, printed.windows, today.windows)
    yield _same(Item.HOOD, printed.hood, now.hood)
    yield _same(Item.SUN, _sun(printed.sun), _sun(now.sun))
    yield _at_least(Item.RUN_TIME, printed.run_time_s, now.run_time_s)
    yield _at_least(Item.SOAK, printed.soak_s, today.soak_s)
    yield _same(Item.GEAR, printed.gear.strip().casefold(), today.gear.strip().casefold())


def _graded(item: Item, in_table: str, today: str, *, same: bool) -> Graded:
    if not in_table:
        return Graded(item, Grade.NOT_SAID_IN_TABLE, "", today)
    if not today:
        return Graded(item, Grade.NOT_SAID_TODAY, in_table, "")
    return Graded(item, Grade.EQUAL if same else Grade.DIFFERS, in_table, today)


def _same(item: Item, in_table: str | None, today: str | None) -> Graded:
    return _graded(item, in_table or "", today or "", same=in_table == today)


def _sun(sun: bool | None) -> str:
    return {True: "in the sun", False: "in the shade", None: ""}[sun]


def _folded(refrigerant: str) -> str:
    """The number of a refrigerant however it is written: ``R-134a``, ``R134A``, ``HFC-134a``."""
    return re.sub(r"^(?:hfc|hfo|cfc|r)|[^0-9a-z]", "", refrigerant.strip().casefold())


def _engine(printed: SetUp, today: Today) -> Graded:
    span, rpm = printed.engine_rpm, today.engine_rpm
    in_table, here = _speed_in_table(printed), _speed_today(today)
    if span is not None and rpm is not None:
        low = 0.0 if span.low is None else span.low - ENGINE_WITHIN_RPM
        high = math.inf if span.high is None else span.high + ENGINE_WITHIN_RPM
        return _graded(Item.ENGINE_SPEED, in_table, here, same=low <= rpm <= high)
    if printed.idle:
        by_speed = rpm is not None and rpm <= IDLE_UP_TO_RPM
        idling = by_speed if today.idle is None else today.idle
        return _graded(Item.ENGINE_SPEED, in_table, here, same=idling)
    if span is not None and here:
        # "Faster than idle" may still be the printed speed; idle cannot be a printed fast one.
        too_slow = today.idle is True and span.low is not None and span.low > IDLE_UP_TO_RPM
        return Graded(Item.ENGINE_SPEED, Grade.DIFFERS if too_slow else Grade.NOT_SAID_TODAY, in_table, here)
    return _graded(Item.ENGINE_SPEED, in_table, here, same=False)


def _speed_in_table(printed: SetUp) -> str:
    speed = f"{printed.engine_rpm.printed} rpm" if printed.engine_rpm else ""
    return " ".join(part for part in ("idle" if printed.idle else "", speed) if part)


def _speed_today(today: Today) -> str:
    if today.engine_rpm is not None:
        return f"{today.engine_rpm:,.0f} rpm"
    return {True: "idle", False: "faster than idle", None: ""}[today.idle]


def _blower(printed: float | None, here: float | None) -> Graded:
    near = printed is not None and here is not None and abs(printed - here) <= BLOWER_WITHIN + 1e-9
    return _graded(Item.BLOWER, _percent(printed), _percent(here), same=near)


def _percent(fraction: float | None) -> str:
    if fraction is None:
        return ""
    return "maximum" if fraction == 1.0 else f"{100 * fraction:.0f} %"


def _doors(printed: Doors | None, here: Opening | None) -> Graded:
    if printed is Doors.FRONT_OPEN and here is Opening.OPEN:
        # The record does not tell which doors: neither equal nor different.
        return Graded(Item.DOORS, Grade.NOT_SAID_TODAY, printed, here)
    closed = printed is Doors.CLOSED, here is Opening.CLOSED
    return _graded(Item.DOORS, printed or "", here or "", same=closed[0] == closed[1])


def _at_least(item: Item, printed_s: float | None, here_s: float | None) -> Graded:
    long_enough = printed_s is not None and here_s is not None and here_s >= printed_s - 1e-6
    return _graded(item, _minutes(printed_s), _minutes(here_s), same=long_enough)


def _minutes(seconds: float | None) -> str:
    return "" if seconds is None else f"{seconds / 60:.3g} min"
