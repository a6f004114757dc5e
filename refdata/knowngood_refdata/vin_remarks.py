"""What to look at again in a VIN, in words; none of it stands in the way."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.vin_characters import CHECK_POSITION
from knowngood_refdata.vin_cleaning import Part
from knowngood_refdata.vin_places import NORTH_AMERICA

if TYPE_CHECKING:
    from knowngood_refdata.vin_characters import CheckDigit
    from knowngood_refdata.vin_places import Country

Remarks = tuple[str, ...]

_YEAR_AND_ON = 10
_DIGITS = frozenset("0123456789")


def about_part(part: Part, count: int) -> Remarks:
    """What a partial VIN cannot tell."""
    if part is Part.TAIL:
        text = (
            "Read as the last 8 characters: they give the model-year code and the serial number, but neither "
            "the maker nor a check digit."
        )
        return (text,)
    if part is Part.FRONT:
        missing = "" if count >= _YEAR_AND_ON else ", no model year"
        text = (
            f"Read as the first {count} of 17 characters: without the rest there is no check digit{missing} "
            "and no serial number."
        )
        return (text,)
    return ()


def about_place(code: str, region: str) -> Remarks:
    """Whether the first two characters are assigned at all."""
    if code and not region:
        return (f"No region is on record for a VIN that begins with {code}: compare it with the plate.",)
    return ()


def about_check(check: CheckDigit | None, region: str, country: Country | None) -> Remarks:
    """What a check digit that does not agree means where the vehicle comes from."""
    if check is None or check.agrees:
        return ()
    compare = "compare the VIN with the plate; it can be kept as it is."
    if region == NORTH_AMERICA:
        text = (
            f"The check digit in position {CHECK_POSITION} is {check.found}, but the other characters give "
            f"{check.computed}. One is probably mistyped: {compare}"
        )
    elif country is not None and country.name == "China":
        text = (
            f"Position {CHECK_POSITION} is {check.found}, a check digit would be {check.computed}. Chinese "
            f"VINs carry one by GB 16735 (from memory): {compare}"
        )
    else:
        text = (
            f"Position {CHECK_POSITION} is {check.found}, a check digit would be {check.computed}. That need "
            "be no error: North America asks for a check digit, European VINs need not carry one."
        )
    return (text,)


def about_serial(last_four: str, region: str) -> Remarks:
    """Whether positions 14 to 17 are digits, as 49 CFR 565.15(d) asks (from memory)."""
    if region == NORTH_AMERICA and last_four and not _DIGITS.issuperset(last_four):
        return ("The last four characters are digits in North America: one is probably mistyped.",)
    return ()
