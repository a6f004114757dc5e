"""What the list of vehicles says: a vehicle in two lines, and how many there are; no Qt."""

from __future__ import annotations

from typing import TYPE_CHECKING, Protocol

from knowngood_refdata.vin_months import MonthSpan

if TYPE_CHECKING:
    from knowngood_refdata.queries.finding import VehicleLine

DOT = "  \N{MIDDLE DOT}  "
DIFFER = "values differ"


class Described(Protocol):
    """What tells one vehicle from another: `records.Vehicle` and `finding.VehicleLine` have it."""

    @property
    def name(self) -> str:
        """The vehicle in one line."""

    @property
    def market(self) -> str:
        """The market; empty when not on record."""

    @property
    def evaporators(self) -> str:
        """Single or dual evaporator; empty when not on record."""

    @property
    def generation(self) -> str:
        """The generation of the model; empty when not on record."""

    @property
    def body(self) -> str:
        """The body; empty when not on record."""

    @property
    def build_from(self) -> str:
        """The first build month of a split, ``2022-06``; empty without one."""

    @property
    def build_to(self) -> str:
        """The last build month of a split; empty without one."""


def short_name(one: Described) -> str:
    """Make, model, engine and years: what the list shows first."""
    named = ", ".join(part for part in (one.market, one.evaporators) if part)
    return one.name.removesuffix(f", {named}")


def variant(one: Described) -> str:
    """What tells vehicles of the same make, model, engine and years apart; empty when nothing is on record.

    >>> from knowngood_refdata.records import Vehicle
    >>> variant(Vehicle(1, "Tarn", "Skerry", "1.6", 2021, 2023, build_from="2022-06", body="estate"))
    'built from June 2022, estate'
    """
    split = MonthSpan.on_record(one.build_from, one.build_to)
    built = "" if split.is_open else f"built {split.words}"
    return ", ".join(part for part in (built, one.generation, one.body, one.market, one.evaporators) if part)


def list_line(line: VehicleLine, *, in_conflict: bool = False) -> str:
    """What the list shows below: refrigerant and charge weight, then what tells variants apart."""
    filling = (
        f"{line.refrigerant or 'refrigerant not on record'}  {line.charge or 'charge weight not on record'}"
    )
    mark = DIFFER if in_conflict else ""
    return DOT.join(part for part in (filling, mark, variant(line)) if part)


def count_text(shown: int, held: int, *, more: bool, narrowed: bool) -> str:
    """How many vehicles the list shows, of how many.

    Parameters
    ----------
    shown
        Lines in the list.
    held
        Vehicles in the library.
    more
        Whether more were found than the list shows.
    narrowed
        Whether words or filters narrow the list.

    >>> count_text(1, 3, more=False, narrowed=True)
    '1 of 3 vehicles'
    >>> count_text(200, 100_000, more=True, narrowed=True)
    'The first 200 found, of 100,000 vehicles: type more words to find the others.'
    """
    if more:
        found = " found," if narrowed else ""
        return f"The first {shown:,}{found} of {held:,} vehicles: type more words to find the others."
    if narrowed:
        return f"{shown:,} of {held:,} vehicles"
    return f"{held:,} vehicle{'' if held == 1 else 's'}"
