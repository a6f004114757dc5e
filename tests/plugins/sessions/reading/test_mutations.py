"""Good logs with some bytes changed: what is read is what was in the lines that were left as they were."""

from __future__ import annotations

import gzip
import time

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plugins.sessions.reading.corpus.made import COLUMNS, COUNT, TRUTH, joined, lines, value
from tests.plugins.sessions.reading.corpus.outcome import faults, outcome
from tests.plugins.sessions.reading.corpus.packs import book, rows, zipped

from knowngood_refdata.logs import LogTable, LogUnreadable
from knowngood_sessions.core.reading.choosing import read_any

LONGEST_S = 5.0
PIECES = st.sampled_from(
    [
        *(
            "",
            ",",
            ";",
            "\t",
            '"',
            "\n",
            "\r\n",
            "\r",
            "\0",
            " ",
            "-",
            ".",
            "9",
            "e9",
            "x",
            ":",
            "NaN",
            "inf",
        ),
        *("\x1a", ",,", '","', "\n\n", '"\n', "1,5", "ÿ", "\ufeff", "=1", "#", "Time (s)", "30.5"),
    ]
)
DIALECTS = st.sampled_from([(",", "."), (";", ","), ("\t", "."), (";", ".")])
CHANGES = st.lists(st.tuples(st.integers(0, 5_000), st.integers(0, 4), PIECES), min_size=1, max_size=3)


def mutated(text: list[str], changes: list[tuple[int, int, str]]) -> list[str]:
    """Lines with a piece put in place of some letters of some of them, one change a line at most."""
    result = list(text)
    for place, taken, piece in {change[0] % len(text): change for change in changes}.values():
        row, at = place % len(text), place // len(text)
        line = text[row]
        at %= len(line)
        result[row] = line[:at] + piece + line[at + taken :]
    return result


def read(data: bytes) -> tuple[LogTable | None, str]:
    try:
        return read_any(data, "log.csv"), ""
    except LogUnreadable as refusal:
        return None, str(refusal)


def wrong_cells(table: LogTable, text: list[str], file: list[str]) -> list[str]:
    """Changed cells of lines left as they were, and cells of other lines with another column's value."""
    # A change may bring line ends: the lines of the file are counted from what was written.
    before = "\n".join(file).replace("\r\n", "\n").replace("\r", "\n").split("\n")
    known = {line: row for row, line in enumerate(text[1:])}
    found = []
    for place, line in enumerate(table.lines.tolist()):
        row = known.get(before[line - 1])
        for column in table.columns:
            if column.name not in COLUMNS:
                continue
            seen = float(column.numbers[place])
            if row is not None and seen != float(value(column.name, row)):
                found.append(f"line {line}: {column.name} is {seen}")
            elif row is None and TRUTH.get(seen, (column.name,))[0] != column.name:
                found.append(f"line {line}: {column.name} holds a value of {TRUTH[seen][0]}")
    return found


@settings(max_examples=300, deadline=None)
@given(DIALECTS, CHANGES)
def test_lines_that_were_not_changed_keep_every_value_under_its_name(
    dialect: tuple[str, str], changes: list[tuple[int, int, str]]
) -> None:
    text = lines(*dialect)
    file = mutated(text, changes)
    start = time.perf_counter()
    table, refused = read("\n".join(file).encode())
    assert time.perf_counter() - start < LONGEST_S
    if table is None:
        assert "Nothing was imported" in refused
    elif file[0] == text[0]:
        assert wrong_cells(table, text, file) == []
        assert len(table.lines) >= COUNT - 2 * len(changes)


@settings(max_examples=60, deadline=None)
@given(DIALECTS, CHANGES)
def test_a_changed_file_goes_the_whole_way_or_is_refused(
    dialect: tuple[str, str], changes: list[tuple[int, int, str]]
) -> None:
    changes = [change for change in changes if change[0] % (COUNT + 1)]
    found = outcome("\n".join(mutated(lines(*dialect), changes)).encode())
    assert found.recording is not None or found.told
    assert faults(found, free=True, in_time=False) == []
    if found.recording is not None:
        assert (np.diff(found.recording.time_s) > 0.0).all()


TEXT, PACKED = joined(lines()), gzip.compress(joined(lines()))
ARCHIVE, BOOK = zipped({"log.csv": joined(lines())}), book({"Run": rows()})


@settings(max_examples=200, deadline=None)
@given(
    st.sampled_from([TEXT, TEXT.decode().encode("utf-16"), PACKED, ARCHIVE, BOOK]),
    st.lists(
        st.tuples(st.integers(0, 60_000), st.integers(0, 40), st.binary(max_size=8)), min_size=1, max_size=3
    ),
)
def test_bytes_changed_anywhere_raise_nothing_but_a_refusal_in_words(
    data: bytes, changes: list[tuple[int, int, bytes]]
) -> None:
    for place, taken, piece in changes:
        at = place % len(data)
        data = data[:at] + piece + data[at + taken :]
        if not data:
            return
    start = time.perf_counter()
    found = outcome(data)
    assert time.perf_counter() - start < LONGEST_S
    assert found.recording is not None or len(found.told) > 20
