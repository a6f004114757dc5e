"""Where plugins come from: installed packages that say so, and the plugins folder."""

from __future__ import annotations

import importlib
import importlib.util
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING

from knowngood import paths
from knowngood.loader import archive, contents
from knowngood.loader.candidate import GROUP, Candidate, api_version, candidate_of, constants
from knowngood.loader.contents import Contents
from knowngood.loader.folder import modules_of
from knowngood.loader.status import About, Origin, PluginMistake

if TYPE_CHECKING:
    from types import ModuleType

    from knowngood.loader.folder import CodeFinder

OWN_DISTRIBUTION = "knowngood"
"""The distribution whose plugins are the program's own."""
_WRITTEN_BY_THE_INSTALLER = {"RECORD", "INSTALLER", "REQUESTED", "direct_url.json"}


@dataclass(frozen=True, slots=True)
class InstalledSource:
    """A plugin module of an installed package."""

    entry: metadata.EntryPoint
    origin = Origin.INSTALLED

    @property
    def name(self) -> str:
        """The name under which the package announces it."""
        return self.entry.name

    @property
    def place(self) -> str:
        """The module."""
        return self.entry.value

    @property
    def version(self) -> str:
        """The version of the package."""
        return self.entry.dist.version if self.entry.dist is not None else ""

    @property
    def built_in(self) -> bool:
        """Whether the package is the program itself."""
        return self.entry.dist is not None and self.entry.dist.name == OWN_DISTRIBUTION

    def examine(self) -> Candidate:
        """What it is; the files of a package that is not the program's own are read and hashed.

        Raises
        ------
        PluginMistake, OSError
            When they cannot be read.
        """
        if self.built_in:
            return Candidate(About(self.name, self.version), self.entry.module)
        found = _installed_files(self.entry)
        path = self.entry.module.replace(".", "/")
        source = found.files.get(f"{path}.py") or found.files.get(f"{path}/__init__.py") or b""
        said = constants(source)
        head = self.entry.dist.metadata.json if self.entry.dist is not None else {}
        about = About(
            name=self.name,
            version=self.version,
            author=str(head.get("author") or head.get("author_email") or ""),
            summary=str(head.get("summary") or said.get("__doc__") or "").partition("\n")[0],
            api=api_version(said.get("API_VERSION")),
            sha256=found.sha256(),
            files=len(found.files),
            size=found.size,
        )
        return Candidate(about, self.entry.module, contents=found)

    def load(self, finder: CodeFinder, candidate: Candidate) -> ModuleType:
        """Import the module."""
        if not self.built_in:
            finder.adopt(candidate.package)
        module: ModuleType = self.entry.load()
        return module


@dataclass(frozen=True, slots=True)
class FolderSource:
    """A plugin in the plugins folder: a ``.py`` file, a folder, or a folder packed as a zip file.

    Parameters
    ----------
    path
        The file or folder.
    cache
        Where a zip file is unpacked once it may run.
    """

    path: Path
    cache: Path
    origin = Origin.FOLDER
    version = ""
    built_in = False

    @property
    def name(self) -> str:
        """The file's name without its ending, or the folder's name."""
        return self.path.stem if self.path.is_file() else self.path.name

    @property
    def place(self) -> str:
        """The file or folder."""
        return str(self.path)

    def examine(self) -> Candidate:
        """Read all its files and find out what it is; nothing of it is executed.

        Raises
        ------
        PluginMistake, OSError
            When they cannot be read, or are no plugin.
        """
        if self.path.suffix == ".zip":
            return candidate_of(archive.read_zip(self.path, self.cache))
        if self.path.is_file():
            return candidate_of(contents.read_file(self.path))
        return candidate_of(contents.read_folder(self.path))

    def load(self, finder: CodeFinder, candidate: Candidate) -> ModuleType:
        """Execute exactly the bytes that were read."""
        _check_name(candidate.package)
        if self.path.suffix == ".zip" and candidate.contents is not None:
            archive.unpack(candidate.contents)
        finder.add(modules_of(candidate))
        return importlib.import_module(candidate.module)


Source = InstalledSource | FolderSource


def find_sources(folder: Path | None = None, cache: Path | None = None) -> tuple[Source, ...]:
    """All plugins there are, sorted by name.

    Of one name, the program's own comes first, then an installed one, then one of the plugins folder.
    ``cache`` is where zip files are unpacked, by default in the data folder.
    """
    entries = {(entry.name, entry.value): entry for entry in metadata.entry_points(group=GROUP)}
    installed: list[Source] = [InstalledSource(entry) for entry in entries.values()]
    unpacked = cache or paths.unpacked_plugins_folder()
    dropped: list[Source] = [FolderSource(path, unpacked) for path in _candidates(folder)]
    return tuple(sorted(installed + dropped, key=_rank))


def _rank(source: Source) -> tuple[str, bool, bool, str]:
    return source.name, not source.built_in, source.origin is Origin.FOLDER, source.place


def _candidates(folder: Path | None) -> list[Path]:
    if folder is None or not folder.is_dir():
        return []
    try:
        found = list(folder.iterdir())
    except OSError:
        # Listed itself, as what could not be read, with the reason.
        return [folder]
    return [
        path
        for path in found
        if not path.name.startswith((".", "_")) and (path.is_dir() or path.suffix in {".py", ".zip"})
    ]


def _installed_files(entry: metadata.EntryPoint) -> Contents:
    """The files that a package installed, and those of the entry's own package wherever they lie."""
    found: dict[str, Path] = {}
    for file in (entry.dist.files or []) if entry.dist is not None else []:
        if "__pycache__" not in file.parts and file.name not in _WRITTEN_BY_THE_INSTALLER:
            found[file.as_posix()] = Path(str(file.locate()))
    package = entry.module.partition(".")[0]
    found |= _package_files(package)
    there = {name: path for name, path in found.items() if path.exists()}
    return Contents(package, Path(), contents.read_all(there))


def _package_files(package: str) -> dict[str, Path]:
    """The files of a top-level package, which is looked for and not imported."""
    spec = importlib.util.find_spec(package)
    if spec is None:
        raise PluginMistake(f"No module named '{package}': its package is installed without it")
    if spec.submodule_search_locations is None:
        return {Path(spec.origin).name: Path(spec.origin)} if spec.origin else {}
    return {
        f"{package}/{path.relative_to(folder).as_posix()}": path
        for folder in map(Path, spec.submodule_search_locations)
        for path in contents.files_below(folder)
    }


def _check_name(name: str) -> None:
    if not name.isidentifier():
        raise PluginMistake(
            f"'{name}' cannot be imported: name it with letters, digits and underscores, no digit first"
        )
    if importlib.util.find_spec(name) is not None:
        raise PluginMistake(f"the name '{name}' is taken by an installed module: rename the plugin")
