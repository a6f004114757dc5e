"""The facts as the page groups and narrows them down."""

from __future__ import annotations

import pytest

from knowngood_comparison.core.facts_found import Group, Line, cautions, groups


def line(title: str, name: str) -> Line:
    (group,) = [one for one in groups() if one.title.startswith(title)]
    (found,) = [one for one in group.lines if one.name == name]
    return found


def lines(found: tuple[Group, ...]) -> list[Line]:
    return [one for group in found for one in group.lines]


def test_the_warming_potentials_stand_side_by_side_for_each_report() -> None:
    """As in IPCC AR4 and AR6, and the lists built on them; the third report does not know R-1234yf."""
    reports = {name: line("Global warming", name) for name in ("TAR, 2001", "AR4, 2007", "AR6, 2021")}
    texts = {name: [cell and cell.text for cell in (one.first, one.second)] for name, one in reports.items()}
    assert texts == {
        "TAR, 2001": ["1,300", None],
        "AR4, 2007": ["1,430", "4"],
        "AR6, 2021": ["1,530", "0.501"],
    }


def test_a_law_is_shown_with_the_report_it_counts_with_for_each_refrigerant() -> None:
    """Regulation (EU) 2024/573, annex I (read) and annex II (from memory)."""
    found = line("Which law", "Regulation (EU) 2024/573 (EU, fluorinated gases)")
    assert found.first is not None
    assert found.second is not None
    assert (found.first.text, found.first.from_memory) == ("1,430, by AR4", False)
    assert (found.second.text, found.second.from_memory) == ("0.501, by AR6", True)


def test_every_fact_shown_names_its_source() -> None:
    cells = [cell for one in lines(groups()) for cell in (one.first, one.second) if cell is not None]
    assert len(cells) > 80
    assert all(cell.source.strip() for cell in cells)


def test_what_is_true_of_both_is_said_once() -> None:
    assert line("Fittings", "Service fittings").shared
    assert not line("Oils", "Usual oil").shared


def test_words_are_looked_for_everywhere_in_a_line_whatever_their_order_and_case() -> None:
    assert [one.name for one in lines(groups("VELOCITY burning propane"))] == ["Burning velocity"]
    assert lines(groups("j2788"))


def test_a_word_of_the_heading_keeps_the_whole_group() -> None:
    (oils,) = groups("oils")[:1]
    assert oils.title == "Oils"


def test_looking_for_what_is_from_memory_finds_that_alone() -> None:
    found = lines(groups("from memory"))
    assert found
    assert all(cell.from_memory for one in found for cell in (one.first, one.second) if one.shared and cell)
    assert len(found) < len(lines(groups()))


@pytest.mark.parametrize("wanted", ["zebra", "oil zebra"])
def test_what_is_nowhere_leaves_nothing(wanted: str) -> None:
    assert groups(wanted) == ()


def test_the_cautions_are_those_for_a_flammable_refrigerant() -> None:
    told = " ".join(cautions()).casefold()
    for word in ("decomposition", "cylinders", "what prevails"):
        assert word in told
