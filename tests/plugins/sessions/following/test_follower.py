"""A log fed in pieces is the log read whole, whatever the pieces; what goes wrong on the way is told."""

from __future__ import annotations

from dataclasses import dataclass, fields
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knowngood_refdata.records import Channel, Conditions, Recording, Role
from knowngood_sessions.core.channels.derive import derive
from knowngood_sessions.core.finding.analysis import barometer_of
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.mapping.assignment import Assignment, Special
from knowngood_sessions.core.mapping.mapping import apply
from knowngood_sessions.core.reading.reader import read_log

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from numpy.typing import NDArray

    from knowngood_sessions.core.following.follower import Delta
    from knowngood_sessions.core.mapping.assignment import ColumnMapping

HEADER = ("Time", "P_low (psig)", "P_high (psig)", "T_suction °C", "Note")


def mapping(time_unit: str = "s") -> ColumnMapping:
    return {
        "Time": Assignment(Special.TIME, time_unit),
        "P_low": Assignment(Role.LOW_SIDE, "psi", gauge=True),
        "P_high": Assignment(Role.HIGH_SIDE, "psi", gauge=True),
        "T_suction": Assignment(Role.SUCTION_LINE, "°C"),
        "Note": Assignment(Special.LEFT_OUT),
    }


@dataclass(frozen=True)
class Dialect:
    """How a logger writes."""

    encoding: str
    delimiter: str
    decimal: str
    line_end: str
    time_unit: str
    a_stamp: int

    def moment(self, seconds: float) -> str:
        whole = int(seconds)
        clock = f"{(23 + (58 * 60 + whole) // 3600) % 24:02d}:{(58 + whole // 60) % 60:02d}:{whole % 60:02d}"
        if self.time_unit == "h:min:s":
            return clock
        if self.time_unit == "date and time":
            return f"2024-08-{14 + (86_280 + whole) // 86_400} {clock}"
        return f"{whole}"

    def number(self, value: float, digits: int) -> str:
        return f"{value:.{digits}f}".replace(".", self.decimal)

    def log(self, rows: int, seed: int) -> bytes:
        random = np.random.default_rng(seed)
        lines = ["Shop log – bay 3", self.delimiter.join(HEADER)]
        for row in range(rows):
            # A logger's stamps in whole seconds, with a gap now and then.
            seconds = row // self.a_stamp + 40 * (row // 37)
            cells = [
                self.moment(seconds),
                self.number(30.0 + random.normal(), 2),
                random.choice(["", "---", self.number(150.0 + random.normal(), 1)], p=[0.05, 0.05, 0.9]),
                self.number(-0.5 + random.normal(), 2),
                random.choice(["", "fan läuft", "“full”"]),
            ]
            lines.append(self.delimiter.join(cells))
        text = self.line_end.join(lines) + self.line_end
        return text.encode(self.encoding)


dialects = st.builds(
    Dialect,
    encoding=st.sampled_from(["utf-8", "utf-8-sig", "cp1252", "utf-16", "utf-16-be"]),
    delimiter=st.sampled_from([";", "\t"]),
    decimal=st.sampled_from([".", ","]),
    line_end=st.sampled_from(["\n", "\r\n"]),
    time_unit=st.sampled_from(["s", "h:min:s", "date and time"]),
    a_stamp=st.sampled_from([1, 3, 10]),
)


def pieces(data: bytes, cuts: Iterable[int]) -> list[bytes]:
    edges = sorted({0, len(data), *(cut % (len(data) + 1) for cut in cuts)})
    return [data[first:last] for first, last in pairwise(edges)]


def follow(
    parts: Sequence[bytes], time_unit: str = "s", settle_bytes: int = 100_000
) -> tuple[Follower, list[Delta]]:
    follower = Follower("bay 3.csv", mapping(time_unit), "R-134a", Conditions(), settle_bytes=settle_bytes)
    return follower, [*map(follower.feed, parts), follower.finish()]


def whole(data: bytes, time_unit: str = "s") -> Recording:
    return apply(read_log(data, "bay 3.csv"), mapping(time_unit))


def assert_same(follower: Follower, recording: Recording) -> None:
    samples = follower.samples
    assert samples is not None
    assert samples.time_s == pytest.approx(recording.time_s, abs=1e-6)
    for followed, read in zip(samples.recording.channels, recording.channels, strict=True):
        assert (followed.name, followed.role, followed.unit) == (read.name, read.role, read.unit)
        np.testing.assert_array_equal(followed.values, read.values)


def put_together(deltas: Sequence[Delta]) -> NDArray[np.float64]:
    """The superheat as a page collects it."""
    kept = [np.empty(0)]
    for delta in deltas:
        if delta.samples is not None and delta.samples.derived.superheat_k is not None:
            kept = [np.empty(0)] if delta.anew else kept
            kept.append(delta.samples.derived.superheat_k)
    return np.concatenate(kept)


@given(
    dialect=dialects,
    rows=st.integers(12, 90),
    seed=st.integers(0, 99),
    cuts=st.lists(st.integers(0, 100_000), max_size=25),
    settle_bytes=st.sampled_from([0, 700, 2_000, 100_000]),
)
@settings(max_examples=60, deadline=None)
def test_a_log_fed_in_any_pieces_is_the_log_read_whole(
    dialect: Dialect, rows: int, seed: int, cuts: list[int], settle_bytes: int
) -> None:
    data = dialect.log(rows, seed)
    # Before ten rows are there, a file need not show yet what it is like.
    begun = dialect.log(11, seed)
    first = len(begun) if data.startswith(begun) else len(data)
    parts = [data[:first], *pieces(data[first:], cuts)] if settle_bytes < 700 else pieces(data, cuts)
    follower, deltas = follow(parts, dialect.time_unit, settle_bytes)
    recording = whole(data, dialect.time_unit)
    assert_same(follower, recording)
    derived = derive(recording, "R-134a", barometer_of(recording, Conditions()))
    assert derived.superheat_k is not None
    assert put_together(deltas) == pytest.approx(derived.superheat_k, nan_ok=True)


@given(cut=st.integers(0, 4_000), back=st.integers(1, 3))
@settings(max_examples=30, deadline=None)
def test_a_log_cut_inside_a_character_or_a_line_end_loses_nothing(cut: int, back: int) -> None:
    data = Dialect("utf-8", ";", ",", "\r\n", "s", 1).log(60, 3)
    for mark in ("–".encode(), "läuft".encode(), b"\r\n"):
        at = data.find(mark, cut)
        if at < 0:
            continue
        follower, _ = follow([data[: at + back], data[at + back :]], settle_bytes=500)
        assert_same(follower, whole(data))


def test_a_header_that_comes_late_is_waited_for_and_said() -> None:
    data = Dialect("utf-8", ";", ".", "\n", "s", 1).log(30, 0)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions())
    assert follower.unread == "The file is empty so far."
    assert follower.feed(data[:25]).count == 0
    assert "no table of numbers" in follower.unread
    assert follower.samples is None
    follower.feed(data[25:])
    assert follower.unread == ""
    follower.finish()
    assert_same(follower, whole(data))


def test_decimal_commas_that_show_late_change_what_was_read_while_the_log_is_young() -> None:
    head = b"Time;P_low (psig);P_high (psig);T_suction (\xc2\xb0C);Note\n"
    data = head + b"".join(b"%d;30;150;5;\n" % row for row in range(20))
    rest = b"".join(b"%d;30,5;150,5;5,5;\n" % row for row in range(20, 60))
    follower, _ = follow([data, rest])
    assert_same(follower, whole(data + rest))
    samples = follower.samples
    assert samples is not None
    assert samples.recording.channels[0].values[-1] == 30.5


def test_only_what_is_new_is_read_and_derived() -> None:
    dialect = Dialect("utf-8", ";", ".", "\n", "s", 1)
    data = dialect.log(300, 5)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions(), settle_bytes=1_000)
    edge = len(dialect.log(200, 5))
    follower.feed(data[:edge])
    delta = follower.feed(data[edge:])
    assert not delta.anew
    assert delta.count == 100
    assert delta.samples is not None
    for field in fields(delta.samples.derived):
        values = getattr(delta.samples.derived, field.name)
        assert values is None or values.shape == (100,)


def test_what_was_given_out_stays_as_it_was_while_more_is_read() -> None:
    data = Dialect("utf-8", ";", ".", "\n", "s", 1).log(4_000, 5)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions(), settle_bytes=1_000)
    follower.feed(data[: len(data) // 3])
    early = follower.samples
    assert early is not None
    copies = [early.time_s.copy(), *(one.values.copy() for one in early.recording.channels)]
    follower.feed(data[len(data) // 3 :])
    kept = [early.time_s, *(one.values for one in early.recording.channels)]
    for now, before in zip(kept, copies, strict=True):
        np.testing.assert_array_equal(now, before)
    with pytest.raises(ValueError, match="read-only"):
        early.time_s[0] = 1.0


def test_a_line_with_too_few_fields_is_left_out_and_counted() -> None:
    data = Dialect("utf-8", ";", ".", "\n", "s", 1).log(40, 0)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions(), settle_bytes=500)
    follower.feed(data)
    before = follower.samples
    delta = follower.feed(b"-- paused --\n90;30.1;150.2;4.1;\n91;wet;150.2;4.1;\n92;30.1;150.2\n")
    assert before is not None
    assert delta.count == 2
    assert "2 further lines were left out: not the fields that the header names." in delta.told
    assert "1 further cells hold no number and count as missing." in delta.told


def test_a_channel_that_dies_is_told_and_taken_back_when_it_lives_again() -> None:
    data = Dialect("utf-8", ";", ".", "\n", "s", 1).log(30, 0)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions(), settle_bytes=500)
    follower.feed(data)
    dead = b"".join(b"%d;30.1;150.2;---;\n" % row for row in range(30, 45))
    delta = follower.feed(dead)
    assert [one for one in delta.told if "given no value" in one] == [
        "T_suction has given no value for 15 s."
    ]
    assert delta.samples is not None
    assert delta.samples.derived.superheat_k is not None
    assert np.isnan(delta.samples.derived.superheat_k).all()
    assert not any("given no value" in one for one in follower.feed(b"45;30.1;150.2;4.0;\n").told)


def test_a_second_recording_in_the_file_ends_the_following_where_it_begins() -> None:
    dialect = Dialect("utf-8", ";", ".", "\n", "s", 1)
    data = dialect.log(30, 0)
    follower = Follower("bay 3.csv", mapping(), "R-134a", Conditions(), settle_bytes=500)
    follower.feed(data)
    second = dialect.log(120, 1).split(b"\n", 2)[2]
    delta = follower.feed(second)
    assert delta.count == 0
    assert "Time runs backwards at line 33" in delta.told[-1]
    assert follower.wants_whole
    delta = follower.read_whole(data + second)
    assert follower.ended_line == 33
    assert "From line 33 on the file holds another recording" in follower.ended
    assert delta.told[-1] == follower.ended
    assert not follower.wants_whole
    assert_same(follower, whole(data))


def test_a_clock_that_was_set_back_is_counted_on_once_enough_has_come_behind_it() -> None:
    lines = [b"Time;P_low (psig);P_high (psig);T_suction (\xc2\xb0C);Note"]
    lines += [b"10:%02d:%02d;30.1;150.2;4.1;" % divmod(row, 60) for row in range(600)]
    # Set back by a minute, to agree with another clock.
    lines += [b"10:%02d:%02d;30.1;150.2;4.1;" % divmod(row - 60, 60) for row in range(600, 700)]
    lines += [b"10:%02d:%02d;31.1;151.2;4.1;" % divmod(row - 60, 60) for row in range(700, 760)]
    data = b"\n".join(lines) + b"\n"
    edges = [data.index(lines[601]) + len(lines[0]), data.index(lines[701])]
    follower = Follower("bay 3.csv", mapping("h:min:s"), "R-134a", Conditions(), settle_bytes=500)
    read = b""
    for part in (data[: edges[0]], data[edges[0] : edges[1]], data[edges[1] :]):
        read += part
        follower.feed(part)
        if follower.wants_whole:
            assert follower.read_whole(read).anew
    follower.finish()
    assert follower.ended == ""
    assert_same(follower, whole(data, "h:min:s"))


def test_a_recorded_air_pressure_that_turns_out_other_derives_everything_anew() -> None:
    header = b"Time;P_low (psig);Baro (kPa)\n"
    columns = {
        "Time": Assignment(Special.TIME, "s"),
        "P_low": Assignment(Role.LOW_SIDE, "psi", gauge=True),
        "Baro": Assignment(Role.BAROMETER, "kPa"),
    }
    follower = Follower("high up.csv", columns, "R-134a", Conditions(), settle_bytes=50)
    follower.feed(header + b"".join(b"%d;30.5;\n" % row for row in range(12)))
    assert follower.rebased().count == 0
    follower.feed(b"".join(b"%d;30.5;84.5\n" % row for row in range(12, 40)))
    assert follower.barometer_pa == pytest.approx(101_325.0)
    delta = follower.rebased()
    assert delta.anew
    assert follower.barometer_pa == pytest.approx(84_500.0)
    assert delta.samples is not None
    assert delta.samples.derived.low_pa is not None
    assert delta.samples.derived.low_pa[0] == pytest.approx(30.5 * 6_894.757 + 84_500.0, rel=1e-6)
    assert follower.rebased().count == 0


@dataclass(frozen=True)
class Rule:
    name: str
    title: str
    kind: None
    needs: tuple[str, ...]
    most: int

    def compute(self, given: Mapping[str, NDArray[np.float64]]) -> NDArray[np.float64]:
        values = given[self.needs[0]]
        if values.size > self.most:
            raise RuntimeError("too much for me")
        return 2.0 * values


def test_a_brought_channel_that_fails_on_the_way_goes_on_without_values_and_is_told() -> None:
    rules = [Rule("twice", "Twice the vent", None, ("low side",), 50)]
    dialect = Dialect("utf-8", ";", ".", "\n", "s", 1)
    data, edge = dialect.log(200, 0), len(dialect.log(40, 0))
    follower = Follower(
        "bay 3.csv",
        mapping(),
        "R-134a",
        Conditions(),
        rules,
        settle_bytes=500,
    )
    follower.feed(data[:edge])
    delta = follower.feed(data[edge:])
    samples = follower.samples
    assert samples is not None
    (brought,) = samples.brought
    assert np.isfinite(brought.values[:40]).all()
    assert np.isnan(brought.values[40:]).all()
    assert brought.values.size == samples.time_s.size
    assert "'Twice the vent' is missing. too much for me" in delta.told


def test_a_channel_is_what_the_mapping_says() -> None:
    follower, _ = follow([Dialect("utf-8", ";", ".", "\n", "s", 1).log(20, 0)])
    samples = follower.samples
    assert samples is not None
    told = [(one.name, one.role, one.unit, one.gauge) for one in samples.recording.channels]
    assert told[0] == ("P_low", Role.LOW_SIDE, "psi", True)
    assert isinstance(samples.recording.channels[0], Channel)
