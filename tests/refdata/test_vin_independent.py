"""Check digits, years and places of many VINs against vininfo, an independent package."""

from __future__ import annotations

import random
from datetime import datetime

from vininfo import Vin as Other
from vininfo.dicts import COUNTRIES

from knowngood_refdata.vin import read_vin
from knowngood_refdata.vin_characters import ALPHABET, check_digit
from knowngood_refdata.vin_places import country, region

THIS_YEAR = datetime.now().astimezone().year  # vininfo knows no other


def generated(count: int) -> list[str]:
    """VINs of every region and year code; about half carry their check digit."""
    draw = random.Random(565)
    vins = []
    for _ in range(count):
        vin = "".join(draw.choice(ALPHABET) for _ in range(17))
        right = draw.random() < 0.5
        vins.append(vin[:8] + check_digit(vin).computed + vin[9:] if right else vin)
    return vins


VINS = generated(600)


def standard(vin: str) -> bool:
    """Whether vininfo holds the maker to the standard: for a few it knows better and looks elsewhere."""
    assembler = Other(vin).assembler
    return getattr(assembler, "uses_sae_checkdigit", True) and not getattr(assembler, "year_position", 0)


def test_the_generated_vins_are_many_and_both_right_and_wrong() -> None:
    compared = [vin for vin in VINS if standard(vin)]
    right = sum(check_digit(vin).agrees for vin in compared)
    assert len(compared) >= 500
    assert 200 < right < len(compared) - 200


def test_check_digits_agree_with_vininfo() -> None:
    for vin in filter(standard, VINS):
        check = read_vin(vin).check
        assert check is not None
        assert check.agrees is Other(vin).verify_checksum(check_year=False), vin


def test_year_candidates_agree_with_vininfo() -> None:
    for vin in filter(standard, VINS):
        candidates = read_vin(vin, today_year=THIS_YEAR).model_years.candidates
        assert sorted(candidates, reverse=True) == Other(vin).years, vin


def test_makers_of_few_vehicles_agree_with_vininfo() -> None:
    marked = {vin for vin in VINS if read_vin(vin).low_volume_maker}
    assert marked == {vin for vin in VINS if Other(vin).manufacturer_is_small}
    assert marked


CODES = [first + second for first in ALPHABET for second in ALPHABET]
NEW_ZEALAND = {"7" + second for second in "ABCDE"}


def test_regions_agree_with_vininfo_but_for_the_later_blocks() -> None:
    differing = {code for code in CODES if region(code) != (Other(f"{code}ZAA1B11KB123456").region or "")}
    # vininfo has no region for D and H, though it has their countries, and gives all of 7 to North America;
    # 7A to 7E were New Zealand's before the rest went to the United States (from memory).
    assert differing == {code for code in CODES if code[0] in "DH"} | NEW_ZEALAND


def test_countries_agree_with_vininfo() -> None:
    ours = {code: found.name for code in CODES if (found := country(code)) and code not in NEW_ZEALAND}
    assert ours == {code: COUNTRIES[code] for code in ours}
    assert len(ours) > 400
