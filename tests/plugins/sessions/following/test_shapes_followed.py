"""Logs of every shape that an import reads are read on as they were begun, in any pieces."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Conditions, Role
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.mapping.assignment import Assignment, Special
from knowngood_sessions.core.mapping.mapping import apply
from knowngood_sessions.core.reading.reader import read_log

if TYPE_CHECKING:
    from collections.abc import Callable

SHAPES: dict[str, tuple[str, Callable[[int], str], tuple[str, str]]] = {
    "a date and a clock time in columns of their own": (
        "Date,Clock,P_low (psig)",
        lambda row: f"14/08/2024,10:{row // 60:02d}:{row % 60:02d},{30 + row % 7}.5",
        ("Date Clock", "date and time"),
    ),
    "units in the cells": (
        "Time (s),P_low",
        lambda row: f"{row},{30 + row % 7}.5 psi",
        ("Time", "s"),
    ),
    "a number that stands for no value": (
        "Time (s),P_low (psig)",
        lambda row: f"{row},{-999 if row in (5, 150) else 30 + row % 7}",
        ("Time", "s"),
    ),
    "a number that stands for no value late": (
        "Time (s),P_low (psig)",
        lambda row: f"{row},{-999 if row > 150 else 30 + row % 7}",
        ("Time", "s"),
    ),
    "quoted fields that go on in the next line": (
        "Time (s),P_low (psig),Note",
        lambda row: f'{row},{30 + row % 7}.5,"fan, on\nor off {row}"',
        ("Time", "s"),
    ),
    "days since 1900": (
        "Time,P_low (psig)",
        lambda row: f"{45518.4 + row / 86_400:.7f},{30 + row % 7}.5",
        ("Time", "days since 1900"),
    ),
    "minutes and seconds": (
        "Time,P_low (psig)",
        lambda row: f"{row // 60}:{row % 60:02d}.{row % 10},{30 + row % 7}.5",
        ("Time", "min:s"),
    ),
    "days with the month first, past the end of one": (
        "Time,P_low (psig)",
        # From 23:54 on the last day of August, a row every four seconds.
        lambda row: (
            f"{'08/31' if row < 90 else '09/01'}/2024 {'23' if row < 90 else '00'}:"
            f"{(54 + row // 15) % 60:02d}:{4 * (row % 15):02d},{30 + row % 7}.5"
        ),
        ("Time", "date and time"),
    ),
    "a column without a name": (
        "Time (s),,P_low (psig)",
        lambda row: f"{row},7.{row % 9},{30 + row % 7}.5",
        ("Time", "s"),
    ),
}


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("size", [23, 400])
def test_logs_of_every_shape_are_read_on_as_they_were_begun(shape: str, size: int) -> None:
    header, row_text, (time, time_unit) = SHAPES[shape]
    lines = [row_text(row) for row in range(200)]
    data = ("\n".join([header, *lines]) + "\n").encode()
    columns = {
        time: Assignment(Special.TIME, time_unit),
        "P_low": Assignment(Role.LOW_SIDE, "psi", gauge=True),
    }
    follower = Follower("bay 3.csv", columns, "R-134a", Conditions(), settle_bytes=300)
    for first in range(0, len(data), size):
        follower.feed(data[first : first + size])
    follower.finish()
    whole = apply(read_log(data, "bay 3.csv"), columns)
    samples = follower.samples
    assert samples is not None
    assert samples.time_s == pytest.approx(whole.time_s, abs=1e-6)
    np.testing.assert_array_equal(samples.recording.channels[0].values, whole.channels[0].values)


def test_a_log_written_channel_after_channel_cannot_be_followed_and_says_so() -> None:
    data = b"Time (s),Channel,Value\n" + b"".join(
        b"%d,%s,%d.5\n" % (row // 2, [b"P_low", b"P_high"][row % 2], 30 + row) for row in range(80)
    )
    table = read_log(data, "bay 3.csv")
    columns = {
        table.columns[0].name: Assignment(Special.TIME, "s"),
        table.columns[1].name: Assignment(Role.LOW_SIDE, "psi", gauge=True),
    }
    follower = Follower("bay 3.csv", columns, "R-134a", Conditions())
    assert follower.feed(data).count == 0
    assert "Only a text log with one row a time can be followed" in follower.unread


def test_an_unknown_refrigerant_is_refused_before_anything_is_read() -> None:
    with pytest.raises(ValueError, match="R-99"):
        Follower("bay 3.csv", {}, "R-99", Conditions())
