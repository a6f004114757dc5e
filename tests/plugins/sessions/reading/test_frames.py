"""Raw frames of a vehicle's bus are recognised and refused with the reason."""

from __future__ import annotations

import pytest

from knowngood_refdata.logs import LogUnreadable
from knowngood_sessions.core.reading.reader import read_log

FRAMES = {
    "identifier and bytes joined": "({t:.6f}) can0 7E8#03410C1A{n:02X}AA0000",
    "number of bytes in brackets": " can0  7E8   [8]  03 41 0C 1A {n:02X} AA 00 00",
    "times, channel, direction": "   {t:.6f} 1  7E8             Rx   d 8 03 41 0C 1A {n:02X} AA 00 00",
    "a serial adapter's lines": "t7E8803410C1A{n:02X}AA0000",
    "answers of an adapter": "7E8 03 41 0C 1A {n:02X} AA 00 00",
    "bytes in one cell": "{t:.3f},0x7E8,8,03 41 0C 1A {n:02X} AA 00 00",
    "bytes in one cell, semicolons": '{t:.3f};7E8;8;"03 41 0C 1A {n:02X} AA 00 00"',
}


@pytest.mark.parametrize("name", FRAMES)
@pytest.mark.parametrize("header", ["", "Time,ID,DLC,Data\n", "log of 14 Aug\n\n"])
def test_raw_frames_are_refused_with_the_reason(name: str, header: str) -> None:
    lines = (FRAMES[name].format(t=0.01 * n, n=n) for n in range(60))
    with pytest.raises(LogUnreadable, match="raw frames of a vehicle's bus"):
        read_log((header + "\n".join(lines) + "\n").encode(), "bus.log")


def test_a_table_with_a_column_a_byte_is_refused_with_the_reason() -> None:
    rows = "\n".join(f"{0.01 * n:.2f},2024,8,3,65,12,26,{n},0,0,0" for n in range(60))
    header = "Time,ID,DLC,D0,D1,D2,D3,D4,D5,D6,D7\n"
    with pytest.raises(LogUnreadable, match="raw frames"):
        read_log((header + rows + "\n").encode(), "bus.csv")


@pytest.mark.parametrize(
    "row",
    ["{n},30 150 45,12", "{n},12-14-16,30", "{n},10:42:07,30", "{n},12.08.24,30"],
)
def test_readings_that_look_a_little_like_bytes_are_not_taken_for_frames(row: str) -> None:
    text = "Time (s),Note,P low (psig)\n" + "".join(row.format(n=n) + "\n" for n in range(60))
    assert read_log(text.encode(), "log.csv").column("P low").numbers[0] in (12, 30)
