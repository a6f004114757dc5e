"""Names one slip of the pen apart."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from knowngood_specs.core.importing.near import NearNames, are_near


def test_one_letter_left_out_added_changed_or_swapped_is_near() -> None:
    assert all(are_near("skerry", other) for other in ("skery", "skerrry", "skarry", "sekrry"))
    assert not any(are_near("skerry", other) for other in ("skerry", "skey", "sarry x", "harrier"))


def test_words_in_another_order_or_not_divided_are_near() -> None:
    assert are_near("skerry estate", "estate skerry")
    assert are_near("skerryestate", "skerry estate")


def test_digits_are_never_a_slip() -> None:
    assert not are_near("skerry 2", "skerry 3")
    assert not are_near("1.6 petrol", "1.8 petrol")


@given(st.lists(st.text("abc ", min_size=1, max_size=6).map(str.strip), min_size=2, max_size=8))
def test_the_index_finds_exactly_what_comparing_every_pair_finds(names: list[str]) -> None:
    index = NearNames()
    for name in names:
        index.add(name)
    for one, other in product(names, names):
        assert (other in index.near(one)) == are_near(one, other)
