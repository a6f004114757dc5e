"""Logs whose headers or cells are not as they should be."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.plugins.sessions.reading.corpus.made import (
    COLUMNS,
    COUNT,
    HEADER,
    UNITS,
    Case,
    cells,
    joined,
    lines,
    value,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

GOOD = joined(lines())
WORDS = {
    "words": "sensor lost",
    "infinity": "inf",
    "a number beyond all": "1e999",
    "hexadecimal digits": "0x1F",
    "a formula": "=A1+B1",
    "an error of a spreadsheet": "#DIV/0!",
    "digits of another script": "\N{ARABIC-INDIC DIGIT THREE}\N{ARABIC-INDIC DIGIT ZERO}.5",
    "two points": "30.5.1",
    "a blank among digits": "30 .5",
    "asterisks": "*****",
}


def heads() -> Iterator[Case]:
    """All of them."""
    yield from headers()
    yield from in_cells()


def headers() -> Iterator[Case]:
    rows = lines()[1:]
    yield Case("no header", joined(rows), "no header")
    yield Case("a header alone", joined(lines()[:1]), "Nothing was imported")
    yield Case("the header behind the values", joined([*rows, lines()[0]]), "no header")
    yield Case(
        "the header once more",
        joined([*lines()[:61], *[lines()[0]], *lines()[61:]]),
        told="The header stands once more on line 62",
    )
    units = ",".join(UNITS.values())
    names = ",".join(UNITS)
    yield Case(
        "names and units once more",
        joined([names, units, *rows[:60], names, units, *rows[60:]]),
        told="once more on lines 63, 64",
    )
    turned = ",".join((HEADER[0], *reversed(HEADER[1:])))
    other = [",".join([cells(row)[0], *reversed(cells(row)[1:])]) for row in range(60, COUNT)]
    yield Case(
        "another header with the columns turned", joined([*lines()[:61], turned, *other]), "second header"
    )
    renamed = "Clock,Vent,Ambient,Fan,Duty"
    yield Case("another header with other names", joined([*lines()[:61], renamed, *other]), "second header")
    wider = [f"{line},7" for line in lines()[61:]]
    yield Case(
        "another header with a column more",
        joined([*lines()[:61], lines()[0] + ",Vent", *wider]),
        told="60 lines of numbers stand above the header",
        rows=60,
        free=True,
    )
    yield Case("a unit row", joined([names, units, *rows]))
    yield Case(
        "a unit row with brackets", joined([names, ",".join(f"[{one}]" for one in UNITS.values()), *rows])
    )
    yield Case(
        "a unit row with one unit fewer",
        joined([names, units.rpartition(",")[0], *rows]),
        "Nothing was imported",
    )
    yield Case("an empty line between names and values", joined([lines()[0], "", *rows]))
    yield Case("empty lines between all lines", joined([f"{line}\n" for line in lines()]))
    yield Case("names in capitals without units", joined([names.upper(), *rows]), free=True, in_time=True)
    yield Case("names without units", joined([names, *rows]))
    yield Case(
        "two columns of one name",
        joined(
            [lines()[0] + ",P low (psig)", *[f"{line},{value('P low', at)}" for at, line in enumerate(rows)]]
        ),
        told="numbered",
        free=True,
    )
    yield Case(
        "five lines of settings above",
        joined(["Logger 5", "Serial,1234", "Interval,1,s", "Bay,3", "", *lines()]),
    )
    table = [f"{at},{0.1 * at:.1f},x" for at in range(9)]
    yield Case("a table of settings above", joined(["No,Gain,Note", *table, "", *lines()]))
    yield Case(
        "a thousand lines above", joined([*["Remark: none"] * 1_000, *lines()]), "Nothing was imported"
    )
    yield Case("remarks with a hash above", joined(["# recorded in bay 3", "# by nobody", *lines()]))
    yield Case("the header with a hash", joined(["# " + lines()[0], *rows]))
    yield Case(
        "a line of dashes below the names", joined([lines()[0], "-----,-----,-----,-----,-----", *rows])
    )
    yield Case(
        "statistics below the values",
        joined([*lines(), "", "Mean,30,150,45,750", "Max,31,151,46,751"]),
        told="without a readable time",
        free=True,
    )
    yield Case("a signature below the values", joined([*lines(), "", "End of recording"]), told="left out")
    yield Case("names of numbers", joined(["0,1,2,3,4", *rows]), "no header")
    yield Case(
        "a name of 90,000 underscores",
        joined([lines()[0].replace("P low (psig)", "_" * 90_000), *rows]),
        free=True,
    )
    yield Case(
        "a name of 90,000 brackets",
        joined([lines()[0].replace("P low (psig)", "(" * 45_000 + ")" * 45_000), *rows]),
        free=True,
    )
    yield Case("a name of tabs", joined(["a" + "\t" * 39_000, *lines()]))
    yield Case(
        "a name with markup and control letters",
        joined([lines()[0].replace("RPM", "<b>RPM\x07</b>"), *rows]),
        free=True,
    )
    yield Case(
        "2,000 columns",
        joined(
            [",".join(f"c{at}" for at in range(2_000)), *[",".join([str(at)] * 2_000) for at in range(9)]]
        ),
        "at most 512",
    )
    yield Case("no line ends", GOOD.replace(b"\n", b",") * 40, "no line ends")


def in_cells() -> Iterator[Case]:
    """One column of cells that are no plain numbers; the others stay what they were."""

    def replaced(column: str, write: Callable[[int], str], header: str = "") -> bytes:
        place = 1 + COLUMNS.index(column)
        text = [lines()[0] if not header else lines()[0].replace(HEADER[place], header)]
        for row in range(COUNT):
            fields = cells(row)
            fields[place] = write(row)
            text.append(",".join(fields))
        return joined(text)

    def instead(what: str, rows: range) -> bytes:
        return replaced("P low", lambda row: what if row in rows else value("P low", row))

    for mark in ("", "-", "--", "NaN", "nan", "N/A", "null", "OL", "#N/A", "?"):
        yield Case(f"'{mark}' for no value", instead(mark, range(0, COUNT, 4)), told="missing")
    for code in ("-999", "9999", "32767", "65535", "-3276.8", "99999"):
        yield Case(f"{code} for no value", instead(code, range(20, 30)), told="stands for no value")
    for name, text in WORDS.items():
        yield Case(f"{name} in some cells", instead(text, range(7, COUNT, 30)), told="no number")
    yield Case(
        "a unit behind every value", replaced("P low", lambda row: value("P low", row) + " psi", "P low")
    )
    yield Case(
        "another unit behind some values",
        replaced("P low", lambda row: value("P low", row) + (" bar" if row % 40 == 9 else "")),
        told="no number",
    )
    yield Case("a column of words", replaced("RPM", lambda row: "idle", "State"))
    yield Case("a column without a value", replaced("RPM", lambda row: "", "Vent (°F)"))
    yield Case("a dead channel", replaced("RPM", lambda row: "0"), told="0 throughout", free=True)
    yield Case(
        "a spike of one sample",
        replaced("P low", lambda row: "3000.5" if row == 60 else value("P low", row)),
        told="far off its neighbours",
        free=True,
    )
    yield Case(
        "thousands with commas in marks",
        replaced("RPM", lambda row: f'"1,{200 + row}"'),
        told="separate thousands",
        free=True,
    )
    yield Case("exponents", replaced("P low", lambda row: f"{float(value('P low', row)) / 10:.6f}E+01"))
    yield Case("plus signs", replaced("P low", lambda row: "+" + value("P low", row)))
    yield Case("zeros in front", replaced("P low", lambda row: "000" + value("P low", row)))
    yield Case("cells of 5,000 digits", replaced("P low", lambda row: value("P low", row) + "0" * 5_000))
    thousands = [line.replace("750,", "1.750,").replace("751,", "1.751,") for line in lines(";", ",")]
    yield Case("thousands with points beside decimal commas", joined(thousands), free=True)
    mixed = [line.replace(".", ",") if at % 2 else line for at, line in enumerate(lines(";"))]
    yield Case("decimal points and commas by turns", joined(mixed), told="60 cells hold no number")
    whole = [f"{row};{'1,' if row % 2 else ''}{240 + 10 * (row % 9)};30" for row in range(COUNT)]
    yield Case(
        "thousands with commas in some cells", joined(["Time (s);RPM;P low (psig)", *whole]), "one thousand"
    )
