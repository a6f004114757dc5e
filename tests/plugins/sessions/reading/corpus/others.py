"""Files that are no log at all, and logs that are larger than what is read."""

from __future__ import annotations

import json
import random
from typing import TYPE_CHECKING

from tests.plugins.sessions.reading.corpus.made import (
    COLUMNS,
    COUNT,
    HEADER,
    Case,
    cells,
    joined,
    lines,
    value,
)

if TYPE_CHECKING:
    from collections.abc import Iterator

_FRAMES = {
    "identifier and bytes joined": "({t:.6f}) can0 7E8#03410C1A{n:02X}AA0000",
    "number of bytes in brackets": " can0  7E8   [8]  03 41 0C 1A {n:02X} AA 00 00",
    "a serial adapter's lines": "t7E8803410C1A{n:02X}AA0000",
    "bytes in one cell": "{t:.3f},0x7E8,8,03 41 0C 1A {n:02X} AA 00 00",
}


def others() -> Iterator[Case]:
    """All of them."""
    yield from other_files()
    yield from other_tables()
    yield from too_large()


def other_files() -> Iterator[Case]:
    starts = {
        "a PDF document": b"%PDF-1.7\n",
        "a picture": b"\x89PNG\r\n\x1a\n",
        "a photograph": b"\xff\xd8\xff\xe0",
        "a database": b"SQLite format 3\0",
        "a program": b"\x7fELF\x02\x01\x01",
        "a sound": b"RIFF\x24\x08\0\0WAVE",
    }
    for name, start in starts.items():
        yield Case(name, start + random.Random(1).randbytes(5_000), "Nothing was imported")
    for size in (0, 1, 17, 3_000):
        yield Case(f"{size} bytes of nothing", b"\n" * size, "empty")
    for size in (1, 64, 4_096, 100_000):
        yield Case(f"{size} bytes of noise", random.Random(size).randbytes(size), "Nothing was imported")
    yield Case("prose", b"Dear shop,\nplease find the log attached.\nRegards\n" * 40, "no table")
    yield Case(
        "a web page",
        b"<html><body><table><tr><td>1</td><td>2</td></tr></table></body></html>\n" * 9,
        "Nothing was imported",
    )
    rows = [dict(zip(HEADER, cells(row), strict=True)) for row in range(COUNT)]
    yield Case("records in JSON", json.dumps(rows).encode(), "Nothing was imported")
    yield Case("a record in JSON a line", "\n".join(map(json.dumps, rows)).encode(), "Nothing was imported")
    yield Case("markup", b"<log><s t='0' p='30'/></log>\n" * 50, "Nothing was imported")
    yield Case("a program's text", b"for i in range(9):\n    print(i, i * 2)\n" * 30, "Nothing was imported")
    for name, text in _FRAMES.items():
        yield Case(
            f"bus frames, {name}", joined([text.format(t=0.01 * n, n=n) for n in range(60)]), "raw frames"
        )
    head = "Time,ID,DLC," + ",".join(f"D{at}" for at in range(8))
    yield Case(
        "bus frames, a column a byte",
        joined([head, *[f"{at},2024,8,3,65,12,26,{at},0,0,0" for at in range(60)]]),
        "raw frames",
    )


def other_tables() -> Iterator[Case]:
    yield Case(
        "fields of fixed width", "\n".join(line.replace(",", "   ") for line in lines()).encode(), "no table"
    )
    yield Case(
        "upright strokes between fields", joined([line.replace(",", "|") for line in lines()]), "no table"
    )
    yield Case(
        "one column",
        joined(["P low (psig)", *(value("P low", row) for row in range(COUNT))]),
        "single column",
    )
    yield Case(
        "a channel a line",
        joined([",".join([name, *(value(name, row) for row in range(COUNT))]) for name in COLUMNS]),
        "Nothing was imported",
    )
    yield Case("two logs one below the other", joined([*lines(), "", *lines()]), "backwards")
    beside = [f"{line},,{line}" for line in lines()]
    yield Case("two logs side by side", joined(beside), told="numbered")
    yield Case(
        "commas above, semicolons below", joined([lines()[0], *lines(";")[1:]]), "Nothing was imported"
    )
    half = [*lines()[:61], *[line.replace(",", ";") for line in lines()[61:]]]
    yield Case("semicolons from the middle on", joined(half), "Nothing was imported")
    yield Case("decimal commas between commas", joined(lines(",", ",")), "Nothing was imported")
    fixed = [
        lines()[0],
        *(
            ",".join([cells(row)[0], *(one.replace(".", ",") for one in cells(row)[1:])])
            for row in range(COUNT)
        ),
    ]
    yield Case("decimal commas between commas below a plain header", joined(fixed), "Nothing was imported")


def too_large() -> Iterator[Case]:
    good = joined(lines())
    yield Case(
        "two and a half million short lines", good + b"1,2,3,4,5\n" * 2_500_000, "at most 2,400,000 lines"
    )
    yield Case("thirteen million empty lines", good + b"\n" * 13_000_000, "at most 2,400,000 lines")
    yield Case("one line of 20 MB", good + b"9" * 20_000_000, "line")
    yield Case("a cell of 200,000 digits", good + b"120," + b"9" * 200_000 + b",150,45,750\n", "no line ends")
    yield Case("200,000 marks", good + b'"' * 200_000 + b"\n", "no line ends")
    long = [f"{at},c{at % 60},{at % 9}" for at in range(240_000)]
    yield Case(
        "long form that would be 240,000 rows of 60 columns",
        joined(["Time (s),Channel,Value", *long]),
        "60 channels",
    )
