"""What becomes of a file: the whole way from its bytes to a recording, and whether that is what was in it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from tests.plugins.sessions.reading.corpus.made import COLUMNS, TRUTH

from knowngood_refdata.logs import LogUnreadable
from knowngood_sessions.core.mapping.importing import prepare, to_recording
from knowngood_sessions.core.mapping.questions import answered, open_questions

if TYPE_CHECKING:
    from collections.abc import Iterable

    from knowngood_refdata.records import Recording

_MOST_ANSWERS = 40


@dataclass(frozen=True)
class Outcome:
    """The recording and what was told about it, or the words of a refusal."""

    recording: Recording | None
    told: str

    @property
    def samples(self) -> int:
        return 0 if self.recording is None else self.recording.time_s.size


def outcome(data: bytes, name: str = "log.csv") -> Outcome:
    """Import a file; of each question that is asked the likeliest answer is given."""
    try:
        prepared = prepare(data, name)
        mapping = dict(prepared.mapping)
        for _ in range(_MOST_ANSWERS):
            asked = open_questions(prepared.table, mapping)
            if not asked:
                break
            if not asked[0].choices:
                return Outcome(None, asked[0].text)
            mapping = answered(mapping, asked[0].choices[0])
        else:
            return Outcome(None, "the questions do not end")
        imported = to_recording(prepared.table, mapping)
    except LogUnreadable as refusal:
        return Outcome(None, str(refusal))
    return Outcome(imported.recording, " ".join(one.text for one in imported.notices))


def faults(found: Outcome, *, free: bool = False, in_time: bool = True) -> list[str]:
    """What is wrong with the samples: another column's or another row's value, a time that is not the row's.

    Parameters
    ----------
    free
        Whether a value may be none that was in the log.
    """
    if found.recording is None:
        return []
    rows = np.full(found.samples, -1)
    wrong: list[str] = []
    owners: dict[str, str] = {}
    for channel in found.recording.channels:
        named = _column_of(channel.name)
        for sample in np.flatnonzero(np.isfinite(channel.values)).tolist():
            column, row = TRUTH.get(float(channel.values[sample]), ("", -1))
            if not column:
                wrong += [] if free else [f"{channel.name} holds {channel.values[sample]}"]
            elif column != (named or owners.setdefault(channel.name, column)):
                wrong.append(f"{channel.name[:40]} holds a value of {column}")
            elif rows[sample] not in (-1, row):
                wrong.append(f"sample {sample} holds values of rows {rows[sample]} and {row}")
            else:
                rows[sample] = row
    return wrong + (_out_of_time(found.recording.time_s, rows) if in_time else [])


def _column_of(name: str) -> str:
    """The column that a name speaks of, whatever stands around it; without one its first value tells."""
    return next((column for column in COLUMNS if column.casefold() in name.casefold()), "")


def _out_of_time(time_s: Iterable[float], rows: np.ndarray) -> list[str]:
    known = rows >= 0
    if not known.any():
        return []
    shift = np.asarray(time_s)[known] - rows[known]
    return [] if np.ptp(shift) < 1e-6 else [f"rows lie {np.ptp(shift):g} s off their times"]
