"""Where a VIN's first two characters were assigned: region and country.

The country is the one that assigned the maker's identifier, not always the one the vehicle was built in.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from pathlib import Path

NORTH_AMERICA = "North America"
_DATA = Path(__file__).parent / "data" / "vin_countries.csv"

_ORDER = "ABCDEFGHJKLMNPRSTUVWXYZ1234567890"
"""The order in which ISO 3780 counts second characters: letters, then 1 to 9, then 0 (from memory)."""

# ISO 3780, from memory. The standard's older blocks leave D to H out and give all of 7 to Oceania; the
# later assignments to D, H and 7F onwards are on many vehicles by now.
_REGIONS = (
    ("7", "FGHJKLMNPRSTUVWXYZ1234567890", NORTH_AMERICA),
    ("ABCD", _ORDER, "Africa"),
    ("HJKLMNPR", _ORDER, "Asia"),
    ("STUVWXYZ", _ORDER, "Europe"),
    ("12345", _ORDER, NORTH_AMERICA),
    ("67", _ORDER, "Oceania"),
    ("89", _ORDER, "South America"),
)


@dataclass(frozen=True, slots=True)
class Country:
    """A country of a block of codes, and where the assignment was taken from."""

    name: str
    source: str


def region(code: str) -> str:
    """The region of a VIN by its first two characters; empty when the block is not assigned.

    >>> region("WZ"), region("1A"), region("7A"), region("0A")
    ('Europe', 'North America', 'Oceania', '')
    """
    return next((name for first, second, name in _REGIONS if code[0] in first and code[1] in second), "")


def country(code: str) -> Country | None:
    """The country of a VIN by its first two characters, None when this is not on record.

    >>> country("WZ")
    Country(name='Germany', source='from memory')
    """
    return _countries().get(code)


@cache
def _countries() -> dict[str, Country]:
    with _DATA.open(encoding="utf-8", newline="") as file:
        return {
            row["first"] + second: Country(row["country"], row["source"])
            for row in csv.DictReader(file)
            for second in _ORDER[_ORDER.index(row["from"]) : _ORDER.index(row["to"]) + 1]
        }
