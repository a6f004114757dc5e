"""Logs whose times are not as they should be: repeated, backward, lost, of another unit, of another day."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from tests.plugins.sessions.reading.corpus.made import COUNT, HEADER, Case, cells, joined

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


def timed(
    write: Callable[[int], str], name: str = "Time (s)", rows: range | list[int] = range(COUNT)
) -> bytes:
    """A log whose times are written in a way."""
    header = ",".join((name, *HEADER[1:]))
    return joined([header, *(",".join(cells(row, write(row))) for row in rows)])


def clock(second: int, text: str = "{h:02d}:{m:02d}:{s:02d}", start: int = 36_000) -> str:
    """A clock time some seconds after ten in the morning."""
    at = start + second
    return text.format(h=at // 3600 % 24, m=at // 60 % 60, s=at % 60)


def dated(text: str, row: int) -> str:
    """A clock time in a text that tells the day."""
    return text.format(clock(row))


def odd_at(places: dict[int, str]) -> bytes:
    """A log with other times in some rows."""
    return timed(lambda row: places.get(row, str(row)))


def times() -> Iterator[Case]:
    """All of them."""
    yield from elapsed()
    yield from clocks()
    yield from dates()
    yield from long_forms()


def elapsed() -> Iterator[Case]:
    yield Case("a stamp repeated", odd_at({60: "59"}), told="share one time stamp", in_time=False)
    yield Case(
        "every stamp five times", timed(lambda row: str(row - row % 5)), told="5 samples share one time stamp"
    )
    yield Case("a stamp that lost a digit", odd_at({60: "6"}), told="cannot be; the row was placed between")
    yield Case("a stamp far ahead", odd_at({60: "60000"}), told="cannot be; the row was placed between")
    yield Case(
        "two rows changed places",
        timed(str, rows=[*range(60), 61, 60, *range(62, COUNT)]),
        told="out of order",
    )
    yield Case(
        "a row that came late",
        timed(str, rows=[*range(50), *range(51, 56), 50, *range(56, COUNT)]),
        told="out of order",
    )
    yield Case("the first row in the middle", odd_at({60: "0"}), told="cannot be")
    yield Case("time from the end to the start", timed(lambda row: str(COUNT - row)), "backwards")
    yield Case("time that stands still", timed(lambda row: "7"), "stands still")
    yield Case("time that begins anew", timed(lambda row: str(row % 60)), "two recordings")
    yield Case("time that begins anew twice", timed(lambda row: str(row % 40)), "backwards")
    yield Case("no time in a row", odd_at({60: ""}), told="without a readable time", rows=COUNT - 1)
    yield Case(
        "a word for a time in a row", odd_at({60: "start"}), told="without a readable time", rows=COUNT - 1
    )
    yield Case("no time in every fifth row", timed(lambda row: str(row) if row % 5 else ""), "hold no time")
    yield Case("no time at all", timed(lambda row: ""), "hold no time")
    yield Case("words for times", timed(lambda row: "now"), "Which column holds the time?")
    yield Case("an infinite time", odd_at({60: "inf"}), told="without a readable time", rows=COUNT - 1)
    yield Case("a time beyond all numbers", odd_at({119: "1e300"}), "no session")
    yield Case("a last stamp of weeks later", odd_at({119: "9000000"}), "no session")
    yield Case(
        "a gap of an hour", timed(lambda row: str(row + 3_600 * (row >= 60))), told="gap of", in_time=False
    )
    yield Case("negative times", timed(lambda row: str(row - 60)))
    yield Case("milliseconds", timed(lambda row: str(1_000 * row), "Time (ms)"))
    yield Case("milliseconds without a unit", timed(lambda row: str(1_000 * row), "Time"))
    yield Case("minutes", timed(lambda row: f"{row / 60:.6f}", "Time (min)"), in_time=False)
    yield Case("seconds without a unit", timed(str, "Time"))
    yield Case("seconds since 1970", timed(lambda row: str(1_723_632_120 + row)))
    yield Case(
        "milliseconds since 1970", timed(lambda row: str(1_723_632_120_000 + 1_000 * row), "Time (ms)")
    )
    yield Case(
        "a counter of 16 bits that begins anew",
        timed(lambda row: str((65_000 + 1_000 * row) % 65_536), "Time (ms)"),
        told="began anew",
    )
    yield Case("a count of samples for a time", timed(lambda row: str(row + 1), "Sample"))
    yield Case("a name that says nothing", timed(lambda row: f"{row / 2:.1f}", "X1"), in_time=False)
    yield Case("two rows", timed(str, rows=[0, 1]), told="hardly anything settles", rows=2)
    yield Case("one row", timed(str, rows=[0]), "Nothing was imported")


def clocks() -> Iterator[Case]:
    yield Case("clock times", timed(clock, "Time"))
    yield Case("clock times across midnight", timed(lambda row: clock(row, start=86_340), "Time"))
    yield Case("clock times with the halves of the day", timed(lambda row: clock(row) + " AM", "Time"))
    yield Case(
        "clock times of twelve hours across noon",
        timed(lambda row: clock(row, start=46_740 if row < 60 else 3_540), "Time"),
        told="began anew",
    )
    yield Case(
        "a clock set back by an hour",
        timed(lambda row: clock(row, start=36_000 - 3_600 * (row >= 60)), "Time"),
        told="set back",
    )
    yield Case(
        "a clock set back by ten seconds",
        timed(lambda row: clock(row, start=36_000 - 10 * (row >= 60)), "Time"),
        told="set back",
    )
    yield Case(
        "a clock set back by five hours",
        timed(lambda row: clock(row, start=36_000 - 18_000 * (row >= 60)), "Time"),
        "backwards",
    )
    yield Case(
        "hours and minutes alone",
        timed(lambda row: clock(60 * row, "{h:02d}:{m:02d}"), "Time (hh:mm)"),
        in_time=False,
        told="one sample every",
    )
    yield Case("minutes and seconds", timed(lambda row: f"{row // 60:02d}:{row % 60:02d}", "Time (mm:ss)"))
    yield Case(
        "impossible clock times",
        timed(lambda row: f"10:{60 + row % 40}:{row % 60:02d}", "Time"),
        "Nothing was imported",
    )
    yield Case(
        "a clock time that lost a colon",
        timed(lambda row: "1000:30" if row == 30 else clock(row), "Time"),
        told="without a readable time",
        rows=COUNT - 1,
    )


def dates() -> Iterator[Case]:
    day = {
        "the year first": "2024-08-14",
        "points": "14.08.2024",
        "the month by name": "14 Aug 2024",
        "the day first": "14/08/2024",
        "the month first": "08/14/2024",
        "the year in two digits": "14.08.24",
        "either order": "03/04/2024",
    }
    for name, text in day.items():
        yield Case(f"dates with {name}", timed(partial(dated, text + " {}"), "Time"))
    for zone in ("Z", "+02:00", "-0530", " UTC"):
        yield Case(f"ISO times with the zone {zone}", timed(partial(dated, "2024-08-14T{}" + zone), "Time"))
    yield Case(
        "a zone that changes on the way",
        timed(
            lambda row: (
                f"2024-10-27T{clock(row, start=10_740)}+02:00"
                if row < 60
                else f"2024-10-27T{clock(row, start=7_140)}+01:00"
            ),
            "Time",
        ),
    )
    yield Case(
        "a day that does not exist",
        timed(lambda row: f"2024-02-31 {clock(row)}", "Time"),
        "Nothing was imported",
    )
    yield Case(
        "a day in each row",
        timed(lambda row: f"{1 + row % 28:02d}.{1 + row // 28:02d}.2024 10:00:00", "Time"),
        "no session",
    )
    yield Case("dates alone", timed(lambda row: "14.08.2024", "Date"), "Which column holds the time?")
    yield Case("days of a spreadsheet", timed(lambda row: f"{45_518 + row / 86_400:.9f}", "Time"))


def long_forms() -> Iterator[Case]:
    names = ("P low", "P high")
    units = {"P low": "psig", "P high": "psig"}

    def rows(
        order: list[tuple[int, str]], unit: Callable[[int, str], str] = lambda _, name: units[name]
    ) -> list[str]:
        return [f"{row},{name},{cells(row)[1 + names.index(name)]},{unit(row, name)}" for row, name in order]

    both = [(row, name) for row in range(COUNT) for name in names]
    head = "Time (s),Channel,Value,Unit"
    yield Case("one row a channel and time", joined([head, *rows(both)]), told="2 channels became columns")
    yield Case(
        "channel after channel",
        joined([head, *rows(sorted(both, key=lambda one: one[1]))]),
        told="became columns",
    )
    yield Case(
        "rows of channels in any order",
        joined([head, *rows(sorted(both, key=lambda one: one[0] * 5 % 7 + one[0] + (one[1] == "P low")))]),
        told="became columns",
    )
    yield Case(
        "a channel that is missing for a while",
        joined([head, *rows([one for one in both if one[1] == "P low" or one[0] % 3])]),
        told="became columns",
    )
    yield Case(
        "a channel that changes its unit",
        joined([head, *rows(both, lambda row, _: "psig" if row < 60 else "bar")]),
        "is written in psig and in bar",
    )
    yield Case(
        "a hundred channels in long form",
        joined([head, *[f"{at // 100},c{at % 100},{at},psig" for at in range(3_000)]]),
        "at most 64",
    )
    yield Case(
        "long form with the header once more",
        joined([head, *rows(both[:100]), head, *rows(both[100:])]),
        told="once more",
    )
    yield Case(
        "long form with a field more",
        joined([head, *[f"{line},x" for line in rows(both)]]),
        "Nothing was imported",
    )
