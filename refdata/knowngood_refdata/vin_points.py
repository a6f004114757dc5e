"""What a configuration is asked for, what is known of the car, and one point of evidence."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

from knowngood_refdata.vin_months import is_month


class Configuration(Protocol):
    """What is looked at in a vehicle; `records.Vehicle` has it all."""

    @property
    def make(self) -> str:
        """The make."""

    @property
    def model(self) -> str:
        """The model."""

    @property
    def engine(self) -> str:
        """The engine, ``1.6 petrol``; empty when not on record."""

    @property
    def market(self) -> str:
        """The market; empty when not on record."""

    @property
    def evaporators(self) -> str:
        """``single evaporator`` or ``dual evaporator``; empty when not on record."""

    @property
    def year_from(self) -> int:
        """The first model year."""

    @property
    def year_to(self) -> int | None:
        """The last model year, None while it goes on."""

    @property
    def build_from(self) -> str:
        """The first build month of a split, ``2022-06``; empty without one."""

    @property
    def build_to(self) -> str:
        """The last build month of a split; empty without one."""

    @property
    def vin_pattern(self) -> str:
        """VIN patterns separated by spaces; empty when none is on record."""


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of the car besides its VIN; what is empty is not known.

    ``build_month`` is written ``2022-06``; `vin_months.read_build_month` reads what a door label prints.

    Raises
    ------
    ValueError
        When the build month is written otherwise.
    """

    build_month: str = ""
    make: str = ""
    model: str = ""
    engine: str = ""
    market: str = ""
    evaporators: str = ""

    def __post_init__(self) -> None:
        if self.build_month and not is_month(self.build_month):
            raise ValueError(
                "The build month cannot be read. Nothing was compared. Write it as year and month, 2022-06."
            )


class Side(StrEnum):
    """Which way a point of evidence goes."""

    FOR = "for"
    OPEN = "open"
    AGAINST = "against"


@dataclass(frozen=True, slots=True)
class Point:
    """One point of evidence in words, with how much it counts in the ranking."""

    side: Side
    words: str
    weight: int = 1
