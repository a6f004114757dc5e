"""What a VIN tells, against published examples and the rule itself.

Where nothing else is said the rule is 49 CFR 565, Tables III (values) and IV (weights).
"""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_refdata.vin import Vin, read_vin
from knowngood_refdata.vin_characters import ALPHABET, LENGTH, VALUES, WEIGHTS, check_digit, products
from knowngood_refdata.vin_cleaning import Part
from knowngood_refdata.vin_years import CODES, years_of_code

TODAY = 2026
SAMPLE = "1G4AH59H45G118341"  # 49 CFR 565, Table V
EUROPEAN = "WZZAAAA1ZAW000001"  # made up
LOW_VOLUME = "1Z9AA1A15MB123007"  # made up


def read(text: str) -> Vin:
    return read_vin(text, today_year=TODAY)


def with_check_digit(vin: str) -> str:
    return f"{vin[:8]}{check_digit(vin).computed}{vin[9:]}"


vins = st.text(ALPHABET, min_size=LENGTH, max_size=LENGTH)
north_american = st.builds(
    lambda first, rest: with_check_digit(first + rest),
    st.sampled_from("12345"),
    st.text(ALPHABET, min_size=LENGTH - 1, max_size=LENGTH - 1),
)


@pytest.mark.parametrize(
    ("vin", "weighted_sum", "digit"),
    [
        (SAMPLE, 411, "4"),  # 49 CFR 565, Table V
        ("1M8GDM9AXKP042788", 351, "X"),  # the hypothetical VIN of encyclopaedias, also pandsauto.ca
        ("LJCPCBLCX11000237", 186, "X"),  # scientificgems.wordpress.com, 27 April 2018
        ("11111111111111111", 89, "1"),  # the usual self-test, from memory
        ("5GZCZ43D13S812715", 408, "1"),  # widely printed, from memory
    ],
)
def test_published_vins_give_their_check_digit(vin: str, weighted_sum: int, digit: str) -> None:
    check = read(vin).check
    assert check is not None
    assert (check.weighted_sum, check.computed, check.found) == (weighted_sum, digit, digit)
    assert read(vin).check_ok is True


@pytest.mark.parametrize(
    ("vin", "expected"),
    [
        # 49 CFR 565, Table V
        (SAMPLE, (8, 49, 24, 5, 32, 15, 18, 80, 0, 45, 56, 7, 6, 40, 12, 12, 2)),
        # autocalculator.org; one stored copy of the page counts K as 1, Table III as 2
        ("1M8GDM9AXKP042788", (8, 28, 48, 35, 16, 12, 18, 10, 0, 18, 56, 0, 24, 10, 28, 24, 16)),
    ],
)
def test_the_products_are_those_of_the_published_working(vin: str, expected: tuple[int, ...]) -> None:
    assert products(vin) == expected


def test_a_wrong_check_digit_in_north_america_warns_and_blocks_nothing() -> None:
    vin = read("1FTFW1ET5DFC10312")  # computed: sum 295, so the digit has to be 9
    assert vin.check is not None
    assert (vin.check.weighted_sum, vin.check.computed, vin.check.found) == (295, "9", "5")
    assert vin.check_ok is False
    assert vin.well_formed
    assert not vin.problems
    assert "other characters give 9" in vin.warnings[0]


def test_a_european_vin_without_a_check_digit_is_not_called_wrong() -> None:
    vin = read(EUROPEAN)
    assert vin.check is not None
    assert not vin.check.agrees
    assert vin.check_ok is None
    assert any("European VINs need not carry one" in warning for warning in vin.warnings)


def test_a_chinese_vin_is_held_to_its_own_standard() -> None:
    vin = read("LJCPCBLC011000237")  # the published one above with its X made 0
    assert vin.check_ok is None
    assert any("GB 16735" in warning for warning in vin.warnings)


# From memory; equal to the table of 49 CFR 565.15(d) as the package vininfo has it (see the other file).
YEARS = dict(zip("ABCDEFGHJKLMNPRSTVWXY123456789", range(1980, 2010), strict=True))


def test_each_year_code_stands_for_two_years_thirty_apart() -> None:
    assert {code: years_of_code(code) for code in CODES} == {
        code: (year, year + 30) for code, year in YEARS.items()
    }


@pytest.mark.parametrize("code", "IOQUZ0")
def test_letters_that_are_no_year_code_give_no_year(code: str) -> None:
    assert years_of_code(code) == ()


@pytest.mark.parametrize(
    ("seventh", "year"),
    # 49 CFR 565.25(b): a digit for model years before 2010; 565.15(b): a letter from then on
    [("5", 1989), ("B", 2019)],
)
def test_position_7_tells_the_cycle_of_a_light_vehicle(seventh: str, year: int) -> None:
    years = read(with_check_digit(f"1ZZAA1{seventh}11KB123456")).model_years
    assert years.definite == years.light == year
    assert set(years.candidates) == {1989, 2019}


def test_position_7_tells_nothing_in_europe() -> None:
    years = read("WZZAA1B11KB123456").model_years
    assert years.candidates == (2019, 1989)
    assert years.light is None
    assert years.definite is None


@pytest.mark.parametrize(("code", "plausible"), [("V", True), ("W", False)])
def test_the_next_model_year_is_the_last_that_can_be(code: str, plausible: bool) -> None:
    assert (YEARS[code] + 30 in read(f"1ZZAA1B11{code}B123456").model_years.candidates) is plausible


def test_a_letter_in_position_7_of_an_older_vehicle_is_spoken_of() -> None:
    vin = read(with_check_digit("1ZZAA1B11YB123456"))
    assert vin.model_years.candidates == (2000,)
    assert any("2030, which is still to come" in warning for warning in vin.warnings)


def test_late_vehicles_of_model_year_2009_may_carry_the_letter() -> None:
    # 73 FR 23367: the present rule holds for everything built from 30 April 2009 on.
    vin = read(with_check_digit("1ZZAA1B119B123456"))
    assert vin.model_years.definite == 2009
    assert not vin.warnings


def test_a_code_that_lies_in_the_future_only_is_called_mistyped_in_north_america() -> None:
    vin = read_vin(with_check_digit("1ZZAA11119B123456"), today_year=2005)
    assert vin.model_years.candidates == ()
    assert any("2009, which is still to come" in warning for warning in vin.warnings)


def test_no_year_code_in_europe_is_said_to_be_common() -> None:
    vin = read("WZZAA1B110B123456")
    assert vin.model_years.candidates == ()
    assert any("European VINs often carry none" in warning for warning in vin.warnings)


@pytest.mark.parametrize(
    ("start", "region", "country"),
    [
        # Region blocks of ISO 3780, from memory
        ("AA", "Africa", "South Africa"),
        ("JA", "Asia", "Japan"),
        ("RF", "Asia", "Taiwan"),
        ("SA", "Europe", "United Kingdom"),
        ("ZA", "Europe", "Italy"),
        ("1A", "North America", "United States"),
        ("3A", "North America", "Mexico"),
        ("5A", "North America", "United States"),
        ("6A", "Oceania", "Australia"),
        ("7A", "Oceania", "New Zealand"),
        ("7S", "North America", "United States"),
        ("8A", "South America", "Argentina"),
        ("9A", "South America", "Brazil"),
        ("S9", "Europe", ""),
        ("0A", "", ""),
    ],
)
def test_the_first_two_characters_tell_region_and_country(start: str, region: str, country: str) -> None:
    vin = read(f"{start}ZAA1B11KB123456")
    assert vin.region == region
    assert (vin.country.name if vin.country else "") == country
    assert vin.country is None or vin.country.source


def test_a_maker_of_few_vehicles_is_told_by_six_characters() -> None:
    # 49 CFR 565.15(a): a 9 in position 3, and positions 12 to 14
    vin = read(LOW_VOLUME)
    assert vin.low_volume_maker
    assert (vin.wmi, vin.maker_mark, vin.serial) == ("1Z9", "1Z9123", "007")


def test_the_other_makers_are_told_by_three() -> None:
    vin = read(SAMPLE)
    assert not vin.low_volume_maker
    assert (vin.wmi, vin.maker_mark, vin.plant, vin.serial) == ("1G4", "1G4", "G", "118341")


def test_a_letter_among_the_last_four_is_spoken_of_in_north_america() -> None:
    # 49 CFR 565.15(d), from memory
    vin = read(with_check_digit("1ZZAA1B11KB12345A"))
    assert vin.warnings == (
        "The last four characters are digits in North America: one is probably mistyped.",
    )


def test_a_letter_among_the_last_four_is_nothing_elsewhere() -> None:
    vin = read(with_check_digit("WZZAA1B11KB12345A"))
    assert not any("last four" in warning for warning in vin.warnings)


@pytest.mark.parametrize(
    "text",
    [
        " 1g4ah59h45g118341 ",
        "1G4-AH59H-4-5G118341",
        "1G4 AH59H 4 5 G 118341",
        "1G4\u00a0AH59H45G\u2013118341\n",
        "*1G4AH59H45G118341*",
        "VIN: 1G4AH59H45G118341",
        "vin 1G4AH59H45G118341",
    ],
)
def test_spaces_dashes_stars_and_small_letters_are_read_over(text: str) -> None:
    vin = read(text)
    assert vin.characters == SAMPLE
    assert not vin.problems
    assert not vin.suggestion


@pytest.mark.parametrize(
    ("typed", "meant", "named"),
    [
        ("IG4AH59H45G118341", SAMPLE, "letter I (character 1); 1 was probably meant"),
        ("1G4AH59H45GII8341", SAMPLE, "letter I (character 12, 13)"),
        ("1M8GDM9AXKPO42788", "1M8GDM9AXKP042788", "letter O (character 12); 0 was probably meant"),
        ("1M8GDM9AXKPq42788", "1M8GDM9AXKP042788", "letter Q (character 12); 0 was probably meant"),
        ("\uff11G4AH59H45G118341", SAMPLE, "fullwidth digit one"),
        ("\u0661G4AH59H45G118341", SAMPLE, "arabic-indic digit one"),
        ("I1G4AH59H45G118341", SAMPLE, "18 characters"),
    ],
)
def test_a_forbidden_character_is_named_and_the_mended_vin_offered(
    typed: str, meant: str, named: str
) -> None:
    vin = read(typed)
    assert not vin.usable
    assert vin.characters != meant
    assert vin.suggestion == meant
    assert named in " ".join(vin.problems)
    assert read(vin.suggestion).check_ok is True


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "No VIN was given"),
        (" -- ", "No VIN was given"),
        ("1G4", "3 characters are too few"),
        ("1G4AH59H45G1183412", "18 characters were given"),
        ("A" * 300, "300 characters were given"),
        ("<b>1G4AH59H</b>", '"less-than sign"'),
        ("1G4AH59H45G11834\x07", "character U+0007"),
        ("1G4AH59H45G11834\u017f", "latin small letter long s"),
        ("1G4AH59H45G11834\U0001f697", '"automobile"'),
    ],
)
def test_what_is_no_vin_is_refused_in_words(text: str, said: str) -> None:
    vin = read(text)
    assert not vin.usable
    assert not vin.well_formed
    assert said in " ".join(vin.problems)
    assert vin.check is None
    assert vin.model_years.candidates == ()
    assert len(" ".join(vin.problems)) < 500


@given(st.text(max_size=300))
def test_any_text_at_all_is_read_or_refused_and_never_shown_as_markup(text: str) -> None:
    vin = read(text)
    assert vin.usable is not bool(vin.problems)
    assert not {"<", ">", "&"} & set(" ".join((*vin.problems, *vin.warnings)))
    if vin.usable:
        assert set(vin.characters) <= set(ALPHABET)
        assert 8 <= len(vin.characters) <= LENGTH


def test_the_last_eight_tell_year_code_and_serial_only() -> None:
    vin = read(SAMPLE[-8:])
    assert vin.part is Part.TAIL
    assert vin.model_years.candidates == (2005,)
    assert vin.model_years.definite is None
    assert (vin.serial, vin.wmi, vin.region, vin.check) == ("118341", "", "", None)
    assert (vin.at(9), vin.at(10), vin.at(17)) == ("", "5", "1")
    assert "neither the maker" in vin.warnings[0]


@pytest.mark.parametrize("length", range(8, LENGTH))
def test_the_front_of_a_vin_tells_what_its_characters_tell(length: int) -> None:
    vin = read(SAMPLE[:length])
    assert vin.part is Part.FRONT
    assert (vin.wmi, vin.region, vin.check_ok, vin.serial) == ("1G4", "North America", None, "")
    assert vin.model_years.definite == (2005 if length >= 10 else None)
    assert f"first {length} of 17" in vin.warnings[0]


@given(north_american, st.integers(0, LENGTH - 1), st.sampled_from(ALPHABET))
def test_one_changed_character_is_caught_unless_it_counts_the_same(
    vin: str, place: int, character: str
) -> None:
    changed = vin[:place] + character + vin[place + 1 :]
    check = read(changed).check
    assert check is not None
    # Two values differ by at most 9 and no weight but that of the check digit itself is a multiple of 11,
    # which is prime: so the sum changes modulo 11 exactly when the values differ.
    unseen = character == vin[place] if WEIGHTS[place] == 0 else VALUES[character] == VALUES[vin[place]]
    assert check.agrees is unseen


@given(vins)
def test_exactly_one_check_digit_fits_any_sixteen_characters(vin: str) -> None:
    fitting = [
        digit
        for digit in string.digits + string.ascii_uppercase
        if digit in ALPHABET and check_digit(vin[:8] + digit + vin[9:]).agrees
    ]
    assert fitting == [check_digit(vin).computed]
    assert fitting[0] in "0123456789X"
