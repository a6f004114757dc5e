"""What is marked at a moment, and which mark comes next."""

from __future__ import annotations

from knowngood.plotting.marks import Marks
from knowngood.plotting.records import Annotation

MARKS = Marks(((60.0, 200.0, "idle"),), ((215.0, "fan stage 2"),), (Annotation(120.0, "bonnet opened"),))


def test_a_moment_in_a_window_tells_the_window() -> None:
    assert MARKS.words_at(100.0, 1.0) == ("idle",)
    assert MARKS.words_at(120.5, 1.0) == ("idle", "bonnet opened")
    assert MARKS.words_at(215.0, 1.0) == ("fan stage 2",)
    assert MARKS.words_at(230.0, 1.0) == ()


def test_pointing_at_marks_tells_their_moments() -> None:
    assert MARKS.lines_at(120.0, 1.0) == ("1:00 to 3:20  idle", "2:00  bonnet opened")


def test_every_mark_is_reached_from_mark_to_mark_both_ways() -> None:
    forth, at_s = [], -1.0
    while (found := MARKS.next_to(at_s, later=True)) is not None:
        forth.append(at_s := found)
    assert forth == [60.0, 120.0, 200.0, 215.0]
    back, at_s = [], 999.0
    while (found := MARKS.next_to(at_s, later=False)) is not None:
        back.append(at_s := found)
    assert back == forth[::-1]
