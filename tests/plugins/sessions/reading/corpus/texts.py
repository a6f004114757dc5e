"""Files of text that are not as they should be: encodings, fields, quotation marks."""

from __future__ import annotations

import codecs
from functools import partial
from typing import TYPE_CHECKING

from tests.plugins.sessions.reading.corpus.made import (
    COUNT,
    Case,
    joined,
    lines,
    value,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    Change = Callable[[list[str]], None]

GOOD = joined(lines())
TEXT = GOOD.decode()


def in_rows(step: int, change: Callable[[list[str], int], None]) -> Change:
    """The change made to one row in so many."""

    def change_all(text: list[str]) -> None:
        for row in range(0, COUNT, step):
            change(text, row)

    return change_all


def changed(change: Change, delimiter: str = ",", decimal: str = ".") -> bytes:
    """A good log after a change to its lines, the header being the first."""
    text = lines(delimiter, decimal)
    change(text)
    return joined(text)


def encodings() -> Iterator[Case]:
    for name in ("utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "utf-32", "cp1252", "latin-1"):
        yield Case(f"in {name}", TEXT.encode(name))
    for name in ("cp1250", "cp1251", "cp1253", "cp1254", "cp1257"):
        # The sign for degrees stands at one place in all of them (Unicode's mapping tables).
        yield Case(f"in {name}", TEXT.encode(name))
    for name in ("cp437", "cp850", "mac_roman", "shift_jis"):
        # Elsewhere it is lost: then the unit is asked about.
        yield Case(f"in {name}", TEXT.encode(name))
    yield Case("in UTF-16, big end first, with its mark", codecs.BOM_UTF16_BE + TEXT.encode("utf-16-be"))
    yield Case("cut in the middle of a character of UTF-16", TEXT.encode("utf-16")[:-1], "damaged at byte")
    yield Case(
        "a byte lost in UTF-16", TEXT.encode("utf-16-le")[:501] + TEXT.encode("utf-16-le")[502:], "Nothing"
    )
    yield Case("two byte order marks", codecs.BOM_UTF8 * 2 + GOOD)
    yield Case(
        "a byte that is no UTF-8 in the header", GOOD.replace(b"T suction", b"T\xff suction"), free=True
    )
    yield Case(
        "a byte that is no UTF-8 in a value",
        GOOD.replace(value("P low", 50).encode(), b"30.5\xff37"),
        told="no number",
        free=True,
    )
    yield Case("zeros behind the last line", GOOD + b"\0" * 4_096, told="4,096 zero bytes")
    yield Case("zeros behind half a line", GOOD[:-20] + b"\0" * 512, told="zero bytes", rows=COUNT - 1)
    yield Case("zeros in the middle", GOOD[:2_000] + b"\0" * 512 + GOOD[2_000:], "binary")
    yield Case("a form feed between pages", GOOD.replace(b"\n60,", b"\n\x0c\n60,"))
    yield Case("the end mark of an old system", GOOD + b"\x1a")
    yield Case("line ends of Windows", GOOD.replace(b"\n", b"\r\n"))
    yield Case("line ends of an old system", GOOD.replace(b"\n", b"\r"))
    yield Case("line ends of all kinds", GOOD.replace(b"\n5", b"\r\n5").replace(b"\n7", b"\r7"))
    yield Case("line ends doubled", GOOD.replace(b"\n", b"\r\r\n"))
    yield Case("no line end at the end", GOOD[:-1])
    yield Case("blanks around every field", GOOD.replace(b",", b" , "))
    yield Case("no-break spaces around every field", TEXT.replace(",", ",\N{NO-BREAK SPACE}").encode())
    yield Case("a minus sign of typesetting", TEXT.replace("45.", "\N{MINUS SIGN}45.").encode(), free=True)


def more_or_fewer(delimiter: str, decimal: str, word: str) -> Iterator[Case]:
    """Lines with a field more or less than the header, in one of the ways that fields are separated."""

    def one(name: str, change: Change, *, refused: str = "", told: str = "", rows: int = COUNT) -> Case:
        return Case(f"{name}, {word}", changed(change, delimiter, decimal), refused, told, rows)

    def insert(text: list[str], row: int, place: int, what: str = "9") -> None:
        fields = text[row + 1].split(delimiter)
        fields.insert(place, what)
        text[row + 1] = delimiter.join(fields)

    def cut(text: list[str], row: int) -> None:
        text[row + 1] = delimiter.join(text[row + 1].split(delimiter)[:3])

    for place in (0, 1, 5):
        more, all_more = partial(insert, place=place), f"one field more at {place} in every"
        left_out = "Line 62 was left out"
        yield one(
            f"one field more at {place} in a line", partial(more, row=60), told=left_out, rows=COUNT - 1
        )
        yield one(f"{all_more} tenth line", in_rows(10, more), refused="do not have the 5 fields")
        yield one(f"{all_more} line", in_rows(1, more), refused="6 fields")
    yield one("one empty field more at the end of every line", in_rows(1, partial(insert, place=5, what="")))
    before = in_rows(1, partial(insert, place=0, what=""))
    yield one("one empty field more at the beginning of every line", before, refused="6 fields")
    yield one("a line cut off", partial(cut, row=60), told="Line 62 was left out", rows=COUNT - 1)
    yield one("the last line cut off", partial(cut, row=COUNT - 1), told="left out", rows=COUNT - 1)
    yield one("every fifth line cut off", in_rows(5, cut), refused="do not have the 5 fields")

    def lost(text: list[str]) -> None:
        text[61] = text[61].replace(delimiter, "", 1)

    yield one("a delimiter lost in one line", lost, told="Line 62 was left out", rows=COUNT - 1)

    def glued(text: list[str]) -> None:
        text[60:62] = [text[60] + text[61]]

    yield one("two lines run into one", glued, told="Line 61 was left out", rows=COUNT - 2)

    def halved(text: list[str]) -> None:
        text[60:61] = [text[60][:9], text[60][9:]]

    yield one("a line broken in two", halved, told="were left out", rows=COUNT - 1)

    def nameless(text: list[str]) -> None:
        text[0] = delimiter.join(text[0].split(delimiter)[:-1])

    yield one("one name fewer than fields", nameless, refused="4 columns but the rows have 5 fields")

    def nameless_end(text: list[str]) -> None:
        text[0] = delimiter.join([*text[0].split(delimiter)[:-1], ""])

    yield one("the last name empty over values", nameless_end, refused="4 columns but the rows have 5 fields")

    def nameless_start(text: list[str]) -> None:
        text[0] = delimiter.join(["", *text[0].split(delimiter)[1:]])

    yield one("the name of the time empty", nameless_start)

    def too_many(text: list[str]) -> None:
        text[0] += f"{delimiter}Note{delimiter}Bay"

    yield one("two names more than fields", too_many, refused="names 7 columns but the rows have 5 fields")


def quotation() -> Iterator[Case]:
    quoted = [",".join(f'"{cell}"' for cell in line.split(",")) for line in lines()]
    yield Case("every field in marks", joined(quoted))
    yield Case("only the header in marks", joined([quoted[0], *lines()[1:]]))
    yield Case("only the values in marks", joined([lines()[0], *quoted[1:]]))
    yield Case("marks behind blanks", joined([line.replace(',"', ', "') for line in quoted]))
    comma = [",".join(f'"{cell}"' for cell in line.split(";")) for line in lines(";", ",")]
    yield Case("decimal commas in marks between commas", joined(comma))
    for place, text in (("a mark never closed", '"60,'), ("a mark in the middle", '6"0,')):
        yield Case(
            place,
            joined([*lines()[:61], text + lines()[61].partition(",")[2], *lines()[62:]]),
            told="left out",
            rows=COUNT - 1,
            free=True,
        )
    yield Case(
        "a mark never closed at the end",
        joined([*lines()[:-1], '"' + lines()[-1]]),
        told="Line 121 was left out",
        rows=COUNT - 1,
    )
    opened = ['"' + line for line in lines()[1:]]
    yield Case("marks never closed in every line", joined([lines()[0], *opened]), "Nothing was imported")
    note = [f'{line},"fan, on"' for line in lines()[1:]]
    yield Case("delimiters in marks", joined([lines()[0] + ",Note", *note]))
    note = [f'{line},"fan ""on"""' for line in lines()[1:]]
    yield Case("doubled marks in marks", joined([lines()[0] + ",Note", *note]))
    note = [f'{line},pipe 5" wide' for line in lines()[1:]]
    yield Case("a mark for inches", joined([lines()[0] + ",Note", *note]))
    note = [f'{line},"first\nsecond"' for line in lines()[1:]]
    yield Case("fields over two lines", joined([lines()[0] + ",Note", *note]))
    note = [f'{line},"{"x" * 60_000}"' for line in lines()[1:20]]
    yield Case("fields of 60,000 letters", joined([lines()[0] + ",Note", *note]), rows=19)
    yield Case("apostrophes for marks", GOOD.replace(b",", b"','"), "Nothing was imported")


def texts() -> Iterator[Case]:
    """All of them."""
    yield from encodings()
    for delimiter, decimal, word in ((",", ".", "commas"), (";", ",", "semicolons"), ("\t", ",", "tabs")):
        yield from more_or_fewer(delimiter, decimal, word)
    yield from quotation()
