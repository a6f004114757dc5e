"""Whole lines out of any pieces, and stamps spread as soon as it is certain how far."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood_sessions.core.following.flow import Flow
from knowngood_sessions.core.following.growing import GrowingArray
from knowngood_sessions.core.following.lines import Lines, before_line, coding_of
from knowngood_sessions.core.following.spread import Spread
from knowngood_sessions.core.reading.spacing import rising

lines = st.lists(st.text("ab1,;.ä–\N{GRINNING FACE}", max_size=8), min_size=1, max_size=12)
codecs = st.sampled_from(["utf-8", "utf-16-le", "utf-16-be", "utf-32-le"])


@given(
    lines, codecs, st.sampled_from(["\n", "\r\n"]), st.lists(st.integers(0, 999), max_size=12), st.text("x")
)
def test_lines_in_any_pieces_come_out_whole_and_once(
    texts: list[str], codec: str, end: str, cuts: list[int], rest: str
) -> None:
    mark = "" if codec == "utf-8" else "\ufeff"
    data = (mark + "".join(text + end for text in texts) + rest).encode(codec)
    reader = Lines(coding_of(data))
    edges = sorted({0, len(data), *(cut % (len(data) + 1) for cut in cuts)})
    fed = [reader.feed(data[first:last]) for first, last in pairwise(edges)]
    assert all(piece == b"" or piece.endswith(b"\n") for piece in fed)
    whole = b"".join(fed).decode()
    assert whole == mark + "".join(text + "\n" for text in texts)
    assert reader.finish().decode() == (rest + "\n" if rest else "")


def test_a_file_whose_lines_end_with_carriage_returns_is_split_there() -> None:
    reader = Lines(coding_of(b"1,2"))
    assert reader.feed(b"1,2\r3,4\r") == b"1,2\n"
    assert reader.feed(b"5,") == b"3,4\n"


@given(lines, st.sampled_from(["utf-8", "utf-16"]), st.sampled_from(["\n", "\r\n"]), st.integers(1, 13))
def test_what_stands_before_a_line_is_the_file_up_to_it(
    texts: list[str], codec: str, end: str, line: int
) -> None:
    data = "".join(text + end for text in texts).encode(codec)
    assert before_line(data, line).decode(codec) == "".join(text + end for text in texts[: line - 1])


@given(
    st.lists(
        st.tuples(st.integers(1, 12), st.sampled_from([1.0, 1.0, 1.0, 1.0, 45.0])), min_size=3, max_size=40
    ),
    st.lists(st.integers(0, 999), max_size=10),
)
def test_samples_under_one_stamp_are_spread_as_in_the_whole_file(
    runs: list[tuple[int, float]], cuts: list[int]
) -> None:
    stamps = np.cumsum([width for _, width in runs])
    raw = np.repeat(stamps, [count for count, _ in runs])
    # How wide a stamp usually is has shown itself before the first piece ends.
    usual = np.repeat(np.arange(-400.0, 1.0), 4)
    raw = np.concatenate([usual, raw])
    spread = Spread()
    edges = sorted({usual.size, raw.size, *(usual.size + cut % (raw.size - usual.size) for cut in cuts)})
    out = [spread.feed(raw[: usual.size])]
    out += [spread.feed(raw[first:last]) for first, last in pairwise(edges)]
    assert sum(map(len, out)) == raw.size - spread.waiting
    out.append(spread.finish())
    whole = rising(raw, np.arange(raw.size)).time_s
    assert np.concatenate(out) == pytest.approx(whole, abs=1e-9)


def test_a_gap_does_not_stretch_the_samples_before_it() -> None:
    spread = Spread()
    spread.feed(np.repeat(np.arange(10.0), 2))
    moments = spread.feed(np.array([60.0]))
    assert moments == pytest.approx([9.75, 60.0])


def test_rows_after_a_time_that_ran_backwards_are_not_taken() -> None:
    flow = Flow(np.array([0.0, 1.0]), np.zeros((1, 2)), 1.0, 3)
    emitted = flow.feed(np.array([2.0, np.nan, 3.0, 0.0, 4.0]), np.ones((1, 5)), np.arange(4, 9))
    assert emitted.time_s.tolist() == [2.0, 3.0]
    assert flow.stumble is not None
    assert (flow.stumble.line, flow.stumble.before_s, flow.stumble.after_s) == (7, 3.0, 0.0)
    assert flow.untimed == 1
    assert flow.feed(np.array([5.0]), np.ones((1, 1)), np.array([9])).time_s.size == 0


@given(st.lists(st.integers(0, 3_000), max_size=12))
def test_a_growing_array_holds_what_was_added_and_doubles_its_room_seldom(sizes: list[int]) -> None:
    grown, kept, rooms = GrowingArray(), [np.empty(0)], set()
    for number, size in enumerate(sizes):
        kept.append(np.full(size, float(number)))
        grown.extend(kept[-1])
        rooms.add(grown._room.size)
    np.testing.assert_array_equal(grown.view(), np.concatenate(kept))
    assert len(rooms) <= 2 + np.log2(max(sum(sizes), 1_024) / 1_024 + 1)
