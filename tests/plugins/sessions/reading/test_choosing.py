"""Which of several readers reads a file, and what becomes of those that fail or refuse."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import pytest
from tests.plugins.sessions.reading.corpus.packs import zipped

from knowngood_refdata.logs import Column, LogTable, LogUnreadable, ReaderFailed, SeveralLogs
from knowngood_sessions.core.reading.choosing import BUILT_IN, read_any

if TYPE_CHECKING:
    from collections.abc import Callable

LOG = b"Time (s),P low (psig)\n" + b"".join(b"%d,30.1\n" % row for row in range(60))


@dataclass
class Fleet:
    """A reader of a shop's own, and the files it was asked about and read."""

    name: str = "Fleet"
    outcome: Exception | None = None
    general: bool = False
    start: bytes = b"Time"
    asked: list[str] = field(default_factory=list)
    read_part: None = None

    def claims(self, head: bytes, name: str) -> bool:
        self.asked.append(name)
        return head.startswith(self.start)

    def read(self, _data: bytes, name: str, proceed: Callable[[float], None]) -> LogTable:
        proceed(0.5)
        if self.outcome is not None:
            raise self.outcome
        return LogTable.of(name, [Column.of("Time", "s", [0, 1]), Column.of(self.name, "psig", [1, 2])])


def columns(*readers: Fleet, data: bytes = LOG) -> tuple[str, str]:
    """The name of the first channel, and what was told."""
    table = read_any(data, "log.csv", (*BUILT_IN, *readers))
    return table.columns[1].name, " ".join(one.text for one in table.notices)


def refusal(*readers: Fleet) -> str:
    with pytest.raises(LogUnreadable) as caught:
        columns(*readers)
    return str(caught.value)


def test_the_reader_of_one_format_comes_before_those_of_any_text() -> None:
    assert columns(Fleet()) == ("Fleet", "")
    assert columns(Fleet(start=b"FLEET")) == ("P low", "")


def test_of_several_that_claim_a_file_the_first_reads_it_and_the_others_are_named() -> None:
    name, told = columns(Fleet("First"), Fleet("Second"))
    assert name == "First"
    assert told == "Read as 'First'; the file may also be 'Second'."


def test_a_file_that_the_first_refuses_is_read_by_the_next_that_claims_it_and_told() -> None:
    name, told = columns(Fleet("First", LogUnreadable("No log of mine.")), Fleet("Second"))
    assert name == "Second"
    assert "No log of mine." in told


def test_what_its_own_reader_refuses_is_not_read_as_any_text() -> None:
    text = refusal(Fleet("First", LogUnreadable("Broken off.")), Fleet("Second", LogUnreadable("Not mine.")))
    assert text == "Broken off. Not mine."


def test_what_its_own_reader_fails_at_is_read_as_text_and_told() -> None:
    name, told = columns(Fleet(outcome=ReaderFailed("The plugin 'fleet' failed.")))
    assert (name, told) == ("P low", "The plugin 'fleet' failed.")


def test_a_file_that_nobody_reads_is_refused_with_what_failed() -> None:
    with pytest.raises(LogUnreadable, match=r"'fleet' failed\. No reader reads this file"):
        read_any(LOG, "log.csv", [Fleet(outcome=ReaderFailed("The plugin 'fleet' failed."))])


def test_several_logs_of_one_reader_are_offered_and_no_other_is_asked() -> None:
    other = Fleet("Other")
    with pytest.raises(SeveralLogs, match="'morning', 'evening'"):
        columns(Fleet(outcome=SeveralLogs(["morning", "evening"], "The file holds two runs")), other)


def test_a_packed_file_is_read_by_the_reader_of_what_is_inside() -> None:
    assert columns(Fleet(), data=zipped({"run.csv": LOG}))[0] == "Fleet"


def test_a_reader_of_a_packed_format_is_given_the_file_as_it_is() -> None:
    assert columns(Fleet(start=b"PK"), data=zipped({"run.csv": LOG}))[0] == "Fleet"
