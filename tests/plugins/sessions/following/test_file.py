"""A real file that a thread writes is followed without loss; what is to be stored is the file itself."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import numpy as np
import pytest

from knowngood_refdata.records import Conditions
from knowngood_sessions.core.following import tail
from knowngood_sessions.core.following.file import FollowedFile
from knowngood_sessions.core.following.follower import Follower
from knowngood_sessions.core.mapping.importing import prepare, to_recording

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from .conftest import Logger

    Open = Callable[[Path], FollowedFile]


@pytest.fixture
def followed(two_plateau_csv: bytes) -> Iterator[Open]:
    made: list[FollowedFile] = []
    mapping = prepare(two_plateau_csv, "bay 3.csv").mapping

    def open_file(path: Path) -> FollowedFile:
        follower = Follower(path.name, mapping, "R-134a", Conditions(), settle_bytes=5_000)
        made.append(FollowedFile(path, follower, 1_000_000))
        return made[-1]

    yield open_file
    for one in made:
        one.close()


@pytest.mark.parametrize("size", [13, 700, 5_000])
def test_a_file_that_a_thread_writes_in_any_pieces_is_followed_without_loss(
    followed: Open, tmp_path: Path, two_plateau_csv: bytes, logger: type[Logger], size: int
) -> None:
    path = tmp_path / "bay 3.csv"
    end = len(two_plateau_csv) if size > 13 else 4_000
    pieces = [two_plateau_csv[at : min(at + size, end)] for at in range(0, end, size)]
    writer = logger(path, pieces, pause_s=0.001)
    file = followed(path)
    writer.start()
    deltas, read = [np.empty(0)], 0
    while writer.is_alive() or read < end:
        seen = file.look()
        read = seen.read_bytes
        if seen.delta.samples is not None:
            deltas = [np.empty(0)] if seen.delta.anew else deltas
            deltas.append(seen.delta.samples.time_s)
        time.sleep(0.002)
    writer.join()
    data = file.content()
    assert data == two_plateau_csv[:end]
    table = prepare(data[: data.rindex(b"\n") + 1], "bay 3.csv")
    whole = to_recording(table.table, table.mapping).recording
    samples = file.look().samples
    assert samples is not None
    np.testing.assert_array_equal(samples.time_s, whole.time_s)
    np.testing.assert_array_equal(np.concatenate(deltas), whole.time_s)
    for ours, theirs in zip(samples.recording.channels, whole.channels, strict=True):
        np.testing.assert_array_equal(ours.values, theirs.values)


def test_what_a_file_that_cannot_be_read_yet_lacks_is_said(followed: Open, tmp_path: Path) -> None:
    path = tmp_path / "bay 3.csv"
    file = followed(path)
    assert "is not there at the moment" in file.look().trouble
    path.write_bytes(b"")
    assert file.look().trouble == "The file is empty so far."
    path.write_bytes(b"Time (s),P_low (psig)\n")
    assert "no table" in file.look().trouble or "no line" in file.look().trouble
    assert file.look().samples is None


def test_a_second_recording_ends_the_following_and_is_not_stored(
    followed: Open, tmp_path: Path, two_plateau_csv: bytes
) -> None:
    path = tmp_path / "bay 3.csv"
    first = two_plateau_csv[: two_plateau_csv.rindex(b"\n", 0, 9_000) + 1]
    path.write_bytes(first)
    file = followed(path)
    count = file.look().delta.count
    with path.open("ab") as out:
        out.write(b"\n-- second run --\n" + two_plateau_csv[:3_000])
    seen = file.look()
    assert seen.over
    assert "holds another recording" in seen.trouble
    assert seen.samples is not None
    assert seen.samples.time_s.size == count
    assert file.content() == first


def test_a_file_exchanged_for_another_keeps_what_was_read_for_storing(
    followed: Open, tmp_path: Path, two_plateau_csv: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(tail, "GRACE_S", 0.0)
    path = tmp_path / "bay 3.csv"
    path.write_bytes(two_plateau_csv[:9_000])
    file = followed(path)
    file.look()
    path.write_bytes(two_plateau_csv[:200])
    seen = file.look()
    assert seen.over
    assert "has become shorter than what was read of it" in seen.trouble
    assert file.content() == two_plateau_csv[:9_000]
