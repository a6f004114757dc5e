"""Read a vehicle identification number: what it tells, what is wrong with it, and what cannot be known.

Sources: 49 CFR 565 for North America; ISO 3779 and ISO 3780 for the parts of the number and the regions
(from memory). What is only known from memory says so where it stands.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime

from knowngood_refdata.vin_characters import LENGTH, CheckDigit, check_digit
from knowngood_refdata.vin_cleaning import TAIL, Part, clean, part_of
from knowngood_refdata.vin_places import NORTH_AMERICA, Country, country, region
from knowngood_refdata.vin_remarks import about_check, about_part, about_place, about_serial
from knowngood_refdata.vin_years import ModelYears, model_years

_UNKNOWN_YEARS = ModelYears()


@dataclass(frozen=True, slots=True)
class Vin:
    """A VIN as read.

    ``problems`` say why it cannot be used, with ``suggestion`` the VIN that was probably meant, if one can
    be told; ``warnings`` say what to look at again and never stand in the way. ``check_ok`` is True when
    the check digit agrees, False when it is wrong in a North American VIN, and None when it cannot be
    told: partial VINs, and VINs from elsewhere with another character there. ``serial`` is the sequential
    number; ``maker_mark`` is the identifier of the maker, six characters for a maker of few vehicles.
    """

    typed: str
    characters: str = ""
    part: Part = Part.NOTHING
    suggestion: str = ""
    check: CheckDigit | None = None
    check_ok: bool | None = None
    region: str = ""
    country: Country | None = None
    model_years: ModelYears = _UNKNOWN_YEARS
    problems: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    @property
    def usable(self) -> bool:
        """Whether anything can be told from it."""
        return self.part is not Part.NOTHING

    @property
    def well_formed(self) -> bool:
        """Whether all 17 characters are there and allowed."""
        return self.part is Part.WHOLE

    def at(self, position: int) -> str:
        """The character at a position, 1 to 17; empty when it is not known."""
        place = position - 1 - (LENGTH - TAIL if self.part is Part.TAIL else 0)
        return self.characters[place] if self.usable and 0 <= place < len(self.characters) else ""

    def between(self, first: int, last: int) -> str:
        """The characters of positions ``first`` to ``last``; empty unless all are known."""
        found = [self.at(position) for position in range(first, last + 1)]
        return "".join(found) if all(found) else ""

    @property
    def wmi(self) -> str:
        """The world manufacturer identifier, positions 1 to 3."""
        return self.between(1, 3)

    @property
    def low_volume_maker(self) -> bool:
        """Whether a 9 in position 3 marks a maker of few vehicles (49 CFR 565.15(a))."""
        return self.at(3) == "9"

    @property
    def maker_mark(self) -> str:
        """What identifies the maker: the WMI, with positions 12 to 14 where position 3 is a 9."""
        if not self.low_volume_maker:
            return self.wmi
        rest = self.between(12, 14)
        return self.wmi + rest if rest else ""

    @property
    def plant(self) -> str:
        """Position 11, the code of the plant in North American VINs."""
        return self.at(11) if self.region == NORTH_AMERICA else ""

    @property
    def serial(self) -> str:
        """The sequential number: positions 12 to 17, or 15 to 17 of a maker of few vehicles."""
        return self.between(15 if self.low_volume_maker else 12, LENGTH)


def read_vin(text: str, today_year: int | None = None) -> Vin:
    """Read a whole VIN, its first eight or more characters, or its last eight.

    Parameters
    ----------
    text
        As typed, pasted or scanned. Spaces, dashes and small letters are allowed.
    today_year
        The calendar year that tells which model years can be; this year when left out.

    Returns
    -------
    Vin
        Always, whatever the text: what is wrong stands in ``problems`` and ``warnings``.

    Examples
    --------
    The sample VIN of 49 CFR 565, Table V:

    >>> vin = read_vin("1G4AH59H45G118341", today_year=2026)
    >>> vin.check_ok, vin.region, vin.model_years.definite, vin.serial
    (True, 'North America', 2005, '118341')
    """
    cleaned = clean(text)
    if cleaned.problems:
        typed = text.strip() if cleaned.characters else ""
        return Vin(typed, cleaned.characters, suggestion=cleaned.suggestion, problems=cleaned.problems)
    return _told(text.strip(), cleaned.characters, today_year or datetime.now().astimezone().year)


def _told(typed: str, characters: str, today_year: int) -> Vin:
    bare = Vin(typed, characters, part_of(characters))
    code = bare.between(1, 2)
    where = region(code) if code else ""
    land = country(code) if code else None
    years = model_years(bare.at(10), bare.at(7), where, today_year)
    check = check_digit(characters) if bare.part is Part.WHOLE else None
    return replace(
        bare,
        check=check,
        check_ok=_check_ok(check, where),
        region=where,
        country=land,
        model_years=years,
        warnings=(
            *about_part(bare.part, len(characters)),
            *about_place(code, where),
            *about_check(check, where, land),
            *years.warnings,
            *about_serial(bare.between(14, LENGTH), where),
        ),
    )


def _check_ok(check: CheckDigit | None, where: str) -> bool | None:
    if check is None:
        return None
    if check.agrees:
        return True
    return False if where == NORTH_AMERICA else None
