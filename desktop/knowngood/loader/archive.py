"""A plugin packed as a zip file: refused when it could write outside its own folder."""

from __future__ import annotations

import io
import secrets
import shutil
import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath
from typing import TYPE_CHECKING

from knowngood.files import replace_bytes
from knowngood.loader.contents import Contents, read_all, read_folder, refuse_large
from knowngood.loader.status import PluginMistake

if TYPE_CHECKING:
    from collections.abc import Sequence

_MOST_FILES = 5_000
_ENCRYPTED = 0x1
_BROKEN = (zipfile.BadZipFile, NotImplementedError, RuntimeError, EOFError, zlib.error, ValueError, OSError)


def read_zip(path: Path, cache: Path) -> Contents:
    """Read all files of a packed plugin into memory; nothing is written.

    Parameters
    ----------
    path
        The zip file: one folder with everything in it.
    cache
        Where it would be unpacked, see `unpack`.

    Raises
    ------
    PluginMistake
        When it is broken, too large, or holds anything but one folder of plain files.
    OSError
        When the file cannot be read.
    """
    packed = read_all({path.name: path})[path.name]
    try:
        with zipfile.ZipFile(io.BytesIO(packed)) as archive:
            members = [one for one in archive.infolist() if not one.is_dir()]
            top = _looked_at(archive.infolist(), members)
            files = {one.filename.removeprefix(f"{top}/"): archive.read(one) for one in members}
    except _BROKEN as error:
        raise PluginMistake(f"the zip file cannot be read: {error}") from error
    return _placed(top, files, cache)


def unpack(contents: Contents) -> None:
    """Write the files of a packed plugin to the folder named by their hash, for what reads them there.

    A folder that is there already is used when it holds exactly these files, and made anew otherwise.

    Raises
    ------
    OSError
        When it cannot be written.
    """
    folder = contents.root.parent
    if contents.root.is_dir() and _as_it_was(contents):
        return
    fresh = folder.with_name(f".{folder.name}.{secrets.token_hex(4)}")
    try:
        for name, content in contents.files.items():
            replace_bytes(fresh / contents.name / name, content)
        shutil.rmtree(folder, ignore_errors=True)
        fresh.replace(folder)
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _as_it_was(contents: Contents) -> bool:
    try:
        return read_folder(contents.root).sha256() == contents.sha256()
    except (OSError, PluginMistake):
        return False


def _placed(top: str, files: dict[str, bytes], cache: Path) -> Contents:
    named_by = Contents(top, cache, files).sha256()
    return Contents(top, cache / named_by / top, files)


def _looked_at(everything: Sequence[zipfile.ZipInfo], members: Sequence[zipfile.ZipInfo]) -> str:
    """The one folder of a zip file, when there is nothing in it that should not be.

    Raises
    ------
    PluginMistake
        When there is.
    """
    if not members:
        raise PluginMistake("the zip file is empty")
    if len(everything) > _MOST_FILES:
        raise PluginMistake(f"the zip file holds more than {_MOST_FILES} files")
    for one in everything:
        _check_member(one)
    refuse_large(one.file_size for one in members)
    names = [one.filename.casefold() for one in everything]
    if len(set(names)) < len(names):
        raise PluginMistake("the zip file holds two files of one name")
    tops = {PurePosixPath(one.filename).parts[0] for one in everything}
    if len(tops) > 1 or any("/" not in one.filename for one in members):
        raise PluginMistake(
            "the zip file must hold one folder with everything in it; it holds "
            + ", ".join(f"'{top}'" for top in sorted(tops)[:4])
        )
    return tops.pop()


def _check_member(one: zipfile.ZipInfo) -> None:
    # The name as it is written in the file: `filename` has been mended already.
    name, parts = one.orig_filename, one.orig_filename.split("/")
    outside = ".." in parts or name.startswith("/") or "\\" in name or ":" in name or "\0" in name
    if outside or "" in parts[:-1] or "." in parts:
        raise PluginMistake(f"the zip file holds the path '{name}', which could lead out of its folder")
    if stat.S_IFMT(one.external_attr >> 16) not in {0, stat.S_IFREG, stat.S_IFDIR}:
        raise PluginMistake(f"the zip file holds '{name}', which is a link or a device and not a file")
    if one.flag_bits & _ENCRYPTED:
        raise PluginMistake(f"the zip file holds '{name}', which is locked with a password")
