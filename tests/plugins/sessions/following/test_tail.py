"""A file that another program writes: added to, locked, cut short, exchanged, written anew."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from knowngood_sessions.core.following import tail as tails
from knowngood_sessions.core.following.tail import GRACE_S, State, Tail

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

HEAD = b"Time (s),P_low (psig)\n" + b"".join(b"%d,30.%d\n" % (row, row % 10) for row in range(900))
MORE = b"900,31.5\n901,31.6\n"


class Clock:
    def __init__(self) -> None:
        self.now = 50.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def path(tmp_path: Path) -> Path:
    path = tmp_path / "bay 3.csv"
    path.write_bytes(HEAD)
    return path


@pytest.fixture
def tail(path: Path, clock: Clock) -> Iterator[Tail]:
    tail = Tail(path, 1_000_000, clock)
    yield tail
    tail.close()


def add(path: Path, data: bytes) -> None:
    with path.open("ab") as file:
        file.write(data)


def test_only_what_was_added_is_read(tail: Tail, path: Path) -> None:
    assert tail.look().data == HEAD
    assert tail.look().data == b""
    add(path, MORE)
    piece = tail.look()
    assert (piece.data, piece.state, piece.words) == (MORE, State.GROWING, "")
    assert tail.everything() == HEAD + MORE


def test_a_long_file_is_read_in_pieces(tail: Tail, path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tails, "MOST_BYTES", 1_000)
    pieces = []
    while True:
        pieces.append(tail.look())
        if not pieces[-1].more:
            break
    assert b"".join(one.data for one in pieces) == HEAD
    assert [len(one.data) for one in pieces[:-1]] == [1_000] * (len(HEAD) // 1_000)


def test_a_file_that_is_gone_or_locked_is_tried_again(
    tail: Tail, path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    tail.look()
    aside = path.rename(path.with_name("aside.csv"))
    piece = tail.look()
    assert piece.state is State.UNREACHABLE
    assert piece.words == "bay 3.csv is not there at the moment; it is looked for again and again."
    aside.rename(path)

    def locked(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    with monkeypatch.context() as patch:
        patch.setattr(type(path), "open", locked)
        assert "cannot be read at the moment (Permission denied)" in tail.look().words
    add(path, MORE)
    assert tail.look().data == MORE


def test_a_file_cut_short_is_waited_for_and_then_told(tail: Tail, path: Path, clock: Clock) -> None:
    tail.look()
    path.write_bytes(HEAD[:3_000])
    piece = tail.look()
    assert (piece.state, piece.data, piece.lasting) == (State.IN_DOUBT, b"", False)
    clock.now += GRACE_S
    piece = tail.look()
    assert (piece.state, piece.lasting) == (State.CUT_SHORT, True)
    assert "bay 3.csv has become shorter than what was read of it" in piece.words
    assert "What was read is kept" in piece.words
    assert tail.everything() == HEAD
    path.write_bytes(HEAD + MORE)
    assert tail.look().lasting


def test_a_logger_that_writes_its_file_anew_each_time_is_followed(
    tail: Tail, path: Path, clock: Clock
) -> None:
    tail.look()
    path.write_bytes(HEAD[:3_000])
    tail.look()
    clock.now += 0.5 * GRACE_S
    path.write_bytes(HEAD + MORE)
    assert tail.look().data == MORE
    path.write_bytes(b"")
    assert tail.look().state is State.IN_DOUBT
    clock.now += 0.9 * GRACE_S
    path.write_bytes(HEAD + MORE + MORE)
    assert tail.look().data == MORE


def test_a_copy_put_in_the_place_of_the_file_is_followed(tail: Tail, path: Path) -> None:
    tail.look()
    other = path.with_name("new.csv")
    other.write_bytes(HEAD + MORE)
    other.replace(path)
    assert tail.look().data == MORE


@pytest.mark.parametrize(
    "other",
    [
        HEAD.replace(b"30.0", b"44.0") + MORE,
        HEAD[:-400] + b"x" * 400 + MORE,
        b"Time (s),P_low (psig)\n0,12.0\n",
    ],
)
def test_another_file_of_the_same_name_is_told(tail: Tail, path: Path, clock: Clock, other: bytes) -> None:
    tail.look()
    path.write_bytes(other)
    assert tail.look().data == b""
    clock.now += GRACE_S
    piece = tail.look()
    assert piece.state is State.REPLACED
    assert "another file now than the one that was read" in piece.words
    assert tail.everything() == HEAD


def test_room_that_was_reserved_and_not_written_yet_is_not_read(tail: Tail, path: Path) -> None:
    path.write_bytes(HEAD + bytes(4_096))
    assert tail.look().data == HEAD
    assert tail.look().data == b""
    path.write_bytes(HEAD + MORE + bytes(4_096 - len(MORE)))
    assert tail.look().data == MORE


def test_zero_bytes_of_a_wide_coding_are_read(path: Path, clock: Clock) -> None:
    path.write_bytes(HEAD.decode().encode("utf-16"))
    tail = Tail(path, 1_000_000, clock)
    assert tail.look().data.decode("utf-16").encode() == HEAD
    tail.close()


def test_a_file_beyond_the_largest_size_is_not_read_on(path: Path, clock: Clock) -> None:
    tail = Tail(path, len(HEAD), clock)
    assert tail.look().data == HEAD
    add(path, MORE)
    piece = tail.look()
    assert (piece.state, piece.lasting) == (State.TOO_LARGE, True)
    assert "nothing more is read" in piece.words
    tail.close()


def test_a_copy_that_could_not_be_written_loses_no_byte(tail: Tail, path: Path) -> None:
    tail.look()
    add(path, MORE)
    real = tail._copy

    class Full:
        def seek(self, *place: int) -> int:
            return real.seek(*place)

        def write(self, data: bytes) -> int:
            real.write(data[:5])
            raise OSError(28, "No space left on device")

    tail._copy = Full()  # type: ignore[assignment]
    assert "No space left on device" in tail.look().words
    tail._copy = real
    assert tail.look().data == MORE
    assert tail.everything() == HEAD + MORE


def test_a_copy_of_an_earlier_run_comes_first_and_the_file_is_read_on_behind_it(
    path: Path, clock: Clock, tmp_path: Path
) -> None:
    copy = tmp_path / "kept.part"
    path.write_bytes(HEAD + b"0,1\n1,2\n")
    earlier = Tail(path, 1_000_000, clock, copy)
    earlier.look()
    earlier.close()
    path.write_bytes(HEAD + b"0,1\n1,2\n2,3\n")
    tail = Tail(path, 1_000_000, clock, copy)
    first = tail.look()
    assert (first.data, first.more) == (HEAD + b"0,1\n1,2\n", True)
    assert tail.look().data == b"2,3\n"
    assert tail.everything() == copy.read_bytes() == path.read_bytes()
    tail.remove()
    assert not copy.exists()


@pytest.mark.parametrize("now", [b"", b"another file\n", None])
def test_rows_of_an_earlier_run_are_there_whatever_has_become_of_the_file(
    path: Path, clock: Clock, tmp_path: Path, now: bytes | None
) -> None:
    copy = tmp_path / "kept.part"
    copy.write_bytes(HEAD + b"0,1\n")
    path.unlink()
    if now is not None:
        path.write_bytes(now)
    tail = Tail(path, 1_000_000, clock, copy)
    assert tail.look().data == HEAD + b"0,1\n"
    assert tail.look().state is (State.UNREACHABLE if now is None else State.IN_DOUBT)
    clock.now += 10.0
    assert tail.look().lasting is (now is not None)
    assert tail.everything() == HEAD + b"0,1\n"
    tail.close()
    assert copy.exists()


def test_room_that_a_power_cut_left_unwritten_in_the_copy_is_read_from_the_file(
    path: Path, clock: Clock, tmp_path: Path
) -> None:
    copy = tmp_path / "kept.part"
    copy.write_bytes(HEAD + b"0,1\n" + bytes(500))
    path.write_bytes(HEAD + b"0,1\n1,2\n")
    tail = Tail(path, 1_000_000, clock, copy)
    assert tail.look().data == HEAD + b"0,1\n"
    assert tail.look().data == b"1,2\n"
    assert tail.everything() == path.read_bytes()
    tail.close()


def test_without_a_place_for_the_copy_a_log_is_followed_all_the_same(
    path: Path, clock: Clock, tmp_path: Path
) -> None:
    path.write_bytes(HEAD)
    tail = Tail(path, 1_000_000, clock, tmp_path / "no such folder" / "kept.part")
    assert tail.look().data == tail.everything() == HEAD
    tail.remove()
