"""Packed plugins: what could reach outside its own folder is refused before anything is written."""

from __future__ import annotations

import stat
import zipfile
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knowngood.loader import archive, contents
from knowngood.loader.archive import read_zip
from knowngood.loader.contents import Contents
from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

PLUGIN = {"tallies/plugin.py": "x = 1"}


@pytest.fixture
def zipped(tmp_path: Path) -> Callable[..., Path]:
    def zipped(*members: tuple[str | zipfile.ZipInfo, str]) -> Path:
        path = tmp_path / "tallies.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
            for name, text in members:
                packed.writestr(name, text)
        return path

    return zipped


def raw(name: str, mode: int = 0) -> zipfile.ZipInfo:
    """A member whose name stands in the file as it is given here."""
    info = zipfile.ZipInfo("placeholder")
    info.filename = name
    info.external_attr = mode << 16
    return info


@pytest.mark.parametrize(
    "name",
    [
        "../evil.py",
        "tallies/../../evil.py",
        "tallies/..",
        "/etc/evil.py",
        "//share/evil.py",
        "C:/evil.py",
        "tallies\\..\\..\\evil.py",
        "tallies/./evil.py",
        "tallies//evil.py",
    ],
)
def test_a_path_that_could_lead_out_of_its_folder_is_refused(
    zipped: Callable[..., Path], tmp_path: Path, name: str
) -> None:
    path = zipped(*PLUGIN.items(), (raw(name), "1/0"))
    before = set(tmp_path.rglob("*"))
    with pytest.raises(PluginMistake, match="could lead out of its folder"):
        read_zip(path, tmp_path / "cache")
    assert set(tmp_path.rglob("*")) == before


@pytest.mark.parametrize("kind", [stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR])
def test_a_link_or_a_device_is_refused(zipped: Callable[..., Path], tmp_path: Path, kind: int) -> None:
    path = zipped(*PLUGIN.items(), (raw("tallies/core.py", kind | 0o644), "../../../secret"))
    with pytest.raises(PluginMistake, match=r"'tallies/core\.py', which is a link or a device"):
        read_zip(path, tmp_path)


@pytest.mark.parametrize(
    ("members", "told"),
    [
        ((), "is empty"),
        ((("a/plugin.py", ""), ("b/plugin.py", "")), "one folder with everything in it; it holds 'a', 'b'"),
        ((("a/plugin.py", ""), ("setup.py", "")), "one folder with everything in it"),
        ((("plugin.py", ""),), "one folder with everything in it"),
        ((("a/plugin.py", ""), ("a/Plugin.py", "")), "two files of one name"),
    ],
)
def test_anything_but_one_folder_of_files_is_refused(
    zipped: Callable[..., Path], tmp_path: Path, members: tuple[tuple[str, str], ...], told: str
) -> None:
    with pytest.raises(PluginMistake, match=told):
        read_zip(zipped(*members), tmp_path)


def test_a_file_that_would_unpack_to_more_than_50_megabytes_is_refused_unread(
    zipped: Callable[..., Path], tmp_path: Path
) -> None:
    path = zipped(
        *PLUGIN.items(), ("tallies/zeros.bin", "\0" * 51_000_000), ("tallies/more.bin", "\0" * 2_000_000)
    )
    assert path.stat().st_size < 1_000_000
    with pytest.raises(PluginMistake, match="its files are 53 MB together, more than 50 MB"):
        read_zip(path, tmp_path)


def test_a_member_that_lies_about_its_size_is_refused(zipped: Callable[..., Path], tmp_path: Path) -> None:
    path = zipped(("tallies/plugin.py", "x" * 5_000))
    packed = bytearray(path.read_bytes())
    for signature, offset in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        at = packed.index(signature) + offset
        packed[at : at + 4] = (10).to_bytes(4, "little")
    path.write_bytes(packed)
    with pytest.raises(PluginMistake, match="cannot be read"):
        read_zip(path, tmp_path)


@pytest.mark.parametrize("content", [b"", b"PK\x03\x04 broken off", b"no zip file at all"])
def test_a_broken_file_is_told_in_words(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "tallies.zip"
    path.write_bytes(content)
    with pytest.raises(PluginMistake, match="the zip file cannot be read"):
        read_zip(path, tmp_path)


def test_more_files_than_any_plugin_has_are_refused(zipped: Callable[..., Path], tmp_path: Path) -> None:
    path = zipped(*((f"tallies/{number}.py", "") for number in range(5_001)))
    with pytest.raises(PluginMistake, match="more than 5000 files"):
        read_zip(path, tmp_path)


NAMES = st.text("ab/.", min_size=1, max_size=4)
FILES = st.dictionaries(NAMES, st.binary(max_size=4), max_size=4)


@given(FILES, FILES)
def test_two_sets_of_files_have_one_hash_only_when_they_are_the_same(
    first: dict[str, bytes], second: dict[str, bytes]
) -> None:
    from pathlib import Path

    hashes = [Contents(name, Path(name), files).sha256() for name, files in (("a", first), ("b", second))]
    assert (hashes[0] == hashes[1]) is (first == second)


def test_what_is_unpacked_are_the_bytes_that_were_hashed(zipped: Callable[..., Path], tmp_path: Path) -> None:
    read = read_zip(
        zipped(("tallies/plugin.py", "x = 1"), ("tallies/core/rates.py", "y = 2")), tmp_path / "cache"
    )
    archive.unpack(read)
    archive.unpack(read)
    again = contents.read_folder(read.root)
    assert again == read
    assert read.root == tmp_path / "cache" / read.sha256() / "tallies"
    assert [one.name for one in (tmp_path / "cache").iterdir()] == [read.sha256()]
