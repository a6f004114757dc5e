"""The model year of a VIN: position 10, read in the 30-year cycle that position 7 tells for light vehicles.

Source of the code letters: 49 CFR 565.15(d), the table of years (from memory). Source of the rule for
position 7: 49 CFR 565.25(b) asks for a digit there in light vehicles, and 565.15(b), in force from model
year 2010, for a letter; that this tells the cycle is drawn from the two.
"""

from __future__ import annotations

from dataclasses import dataclass

from knowngood_refdata.vin_places import NORTH_AMERICA

CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"
"""Year codes in order from 1980; I, O, Q, U, Z and 0 stand for no year."""

_FIRST = 1980
_CYCLE = len(CODES)

ELSEWHERE = (
    "Outside North America position 10 need not carry the model year; European VINs often carry none there."
)


@dataclass(frozen=True, slots=True)
class ModelYears:
    """The model years a VIN can mean.

    ``candidates`` are plausible today, the most likely first. ``light`` is the one that holds if the vehicle
    weighs 10,000 lb (4536 kg) or less fully loaded, where position 7 tells it. ``carried`` is True when
    position 10 is bound to be the model year (North America) and False when it may mean something else.
    """

    candidates: tuple[int, ...] = ()
    light: int | None = None
    carried: bool = False
    warnings: tuple[str, ...] = ()

    @property
    def definite(self) -> int | None:
        """The one model year, when the VIN leaves no doubt of it in a light vehicle; None otherwise."""
        if not self.carried:
            return None
        if self.light is not None:
            return self.light
        return self.candidates[0] if len(self.candidates) == 1 else None


def years_of_code(code: str) -> tuple[int, ...]:
    """Both years a code stands for, from 1980 to 2039; empty for a character that is no year code.

    >>> years_of_code("K"), years_of_code("5"), years_of_code("U")
    ((1989, 2019), (2005, 2035), ())
    """
    if len(code) != 1 or code not in CODES:
        return ()
    first = _FIRST + CODES.index(code)
    return first, first + _CYCLE


def model_years(code: str, seventh: str, region: str, today_year: int) -> ModelYears:
    """Read position 10 with position 7, in the light of the region and of today.

    Parameters
    ----------
    code, seventh
        Positions 10 and 7, each one character or empty when not known.
    region
        As `vin_places.region` names it; empty when not known.
    today_year
        The calendar year; the model year after it is the last one plausible.

    >>> model_years("K", "9", "North America", 2026).definite
    1989
    >>> model_years("K", "", "Europe", 2026).candidates
    (2019, 1989)
    """
    carried = region == NORTH_AMERICA
    if not code:
        return ModelYears(carried=carried)
    all_years = years_of_code(code)
    if not all_years:
        return ModelYears(carried=carried, warnings=(_no_year(code, carried=carried),))
    plausible = tuple(sorted((year for year in all_years if year <= today_year + 1), reverse=True))
    if not plausible:
        return ModelYears(carried=carried, warnings=(_not_yet(all_years[0], carried=carried),))
    if not carried:
        return ModelYears(plausible, warnings=(ELSEWHERE,) if region else ())
    if not seventh:
        return ModelYears(plausible, carried=True)
    return _by_position_7(all_years[0 if seventh.isdigit() else 1], plausible)


def _by_position_7(told: int, plausible: tuple[int, ...]) -> ModelYears:
    if told in plausible:
        others = tuple(year for year in plausible if year != told)
        return ModelYears((told, *others), told, carried=True)
    # The letter came in with vehicles built from 30 April 2009 on (73 FR 23367): some of code 9 carry it.
    if told - _CYCLE == 2009:
        return ModelYears(plausible, plausible[0], carried=True)
    warning = (
        f"Position 7 would make this model year {told}, which is still to come: the vehicle is of model year "
        f"{plausible[0]} and over 10,000 lb (4536 kg), or a character is mistyped."
    )
    return ModelYears(plausible, carried=True, warnings=(warning,))


def _no_year(code: str, *, carried: bool) -> str:
    if carried:
        return f"Position 10 is {code}, which is no model-year code: a character is probably mistyped."
    return f"Position 10 is {code}, which is no model-year code. {ELSEWHERE}"


def _not_yet(year: int, *, carried: bool) -> str:
    if carried:
        return (
            f"Position 10 means model year {year}, which is still to come: a character is probably mistyped."
        )
    return f"Position 10 read as a model year gives {year}, which is still to come. {ELSEWHERE}"
