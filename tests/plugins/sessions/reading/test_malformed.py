"""Files that are not as they should be: each is refused in words, or read with what was in it and told so."""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

import pytest
from tests.plugins.sessions.reading.corpus.heads import heads
from tests.plugins.sessions.reading.corpus.made import Case, joined, lines
from tests.plugins.sessions.reading.corpus.others import others
from tests.plugins.sessions.reading.corpus.outcome import faults, outcome
from tests.plugins.sessions.reading.corpus.packs import packs
from tests.plugins.sessions.reading.corpus.texts import texts
from tests.plugins.sessions.reading.corpus.times import times

ROOT = Path(__file__).resolve().parents[4]
LONGEST_S = 5.0
MOST_BYTES = 1_000_000_000
CORPUS = (*texts(), *heads(), *times(), *packs(), *others())
MEASURED = """
import resource, sys
from itertools import chain
from pathlib import Path
from tests.plugins.sessions.reading.corpus.others import others
from tests.plugins.sessions.reading.corpus.outcome import outcome
from tests.plugins.sessions.reading.corpus.packs import packs
for one in chain(packs(), others()):
    outcome(one.data, one.file_name)
status = Path("/proc/self/status")
if status.exists():
    # The peak of a child begins with that of its parent in getrusage, but not here.
    peak = next(int(one.split()[1]) for one in status.read_text().splitlines() if one.startswith("VmHWM"))
    print(peak * 1024)
else:
    print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024))
"""


def test_the_corpus_holds_hundreds_of_different_files() -> None:
    assert len({one.name for one in CORPUS}) == len(CORPUS)
    assert len({one.data for one in CORPUS}) >= 300


def test_a_good_log_is_read_with_every_value_in_its_place() -> None:
    found = outcome(joined(lines()))
    assert found.recording is not None
    assert [one.name for one in found.recording.channels] == ["P low", "P high", "T suction", "RPM"]
    assert faults(found) == []


def test_a_shifted_column_and_a_shifted_row_would_be_noticed() -> None:
    text = lines()
    shifted = joined(
        [text[0].replace("P low", "x").replace("P high", "P low").replace("x", "P high"), *text[1:]]
    )
    assert "P low holds a value of P high" in faults(outcome(shifted))
    down = [",".join([str(row), *line.split(",")[1:]]) for row, line in enumerate([text[1], *text[1:-1]])]
    assert any("off their times" in one for one in faults(outcome(joined([text[0], *down]))))


@pytest.mark.parametrize("case", CORPUS, ids=lambda one: one.name)
def test_a_malformed_file_is_refused_in_words_or_read_as_it_is(case: Case) -> None:
    start = time.perf_counter()
    found = outcome(case.data, case.file_name)
    assert time.perf_counter() - start < LONGEST_S
    assert faults(found, free=case.free, in_time=case.in_time) == []
    if case.is_refused or (case.either and found.recording is None):
        assert found.recording is None, f"it was read: {found.told}"
        assert case.refused in found.told
        assert len(found.told) > 20
        assert found.told.rstrip().endswith((".", "?"))
    else:
        assert found.recording is not None, f"it was refused: {found.told}"
        assert found.samples == case.rows
        assert case.told in found.told


def test_the_largest_of_them_are_gone_through_within_a_gigabyte() -> None:
    done = subprocess.run(
        [sys.executable, "-c", MEASURED], cwd=ROOT, capture_output=True, text=True, timeout=120, check=True
    )
    assert int(done.stdout) < MOST_BYTES
