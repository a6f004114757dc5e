"""The set-up file, run for real on a small project made for the purpose, and the pinned lists."""

from __future__ import annotations

import ast
import hashlib
import shutil
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

import bootstrap

if TYPE_CHECKING:
    from collections.abc import Iterable

ROOT = Path(__file__).resolve().parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

START = """
import sys
sys.path.insert(0, sys.argv[0] + "/../desktop")
import bootstrap
bootstrap.enter(bootstrap.RUNTIME)
import tiny_package
print("inside", sys.prefix, *sys.argv[1:])
"""

# A build backend in a few lines: installing in place means a wheel that points at the project.
BACKEND = """
import zipfile
def build_editable(folder, config_settings=None, metadata_directory=None):
    name, info = "tiny_project-1-py3-none-any.whl", "tiny_project-1.dist-info/"
    with zipfile.ZipFile(folder + "/" + name, "w") as wheel:
        wheel.writestr(info + "METADATA", "Metadata-Version: 2.1\\nName: tiny_project\\nVersion: 1\\n")
        wheel.writestr(info + "WHEEL", "Wheel-Version: 1.0\\nRoot-Is-Purelib: true\\nTag: py3-none-any\\n")
        wheel.writestr(info + "RECORD", "")
    return name
"""
PYPROJECT = '[build-system]\nrequires = []\nbuild-backend = "backend"\nbackend-path = ["."]\n'


def pins(name: str) -> dict[str, list[Requirement]]:
    """The pinned requirements of a list by package name, each checked to carry a hash."""
    found: dict[str, list[Requirement]] = {}
    text = (ROOT / "desktop" / name).read_text(encoding="utf-8").replace("\\\n", " ")
    for line in filter(None, map(str.strip, text.splitlines())):
        requirement, *hashes = line.split(" --hash=sha256:")
        assert hashes, f"{requirement} has no hash"
        one = Requirement(requirement)
        assert [each.operator for each in one.specifier] == ["=="], f"{requirement} is not pinned"
        found.setdefault(canonicalize_name(one.name), []).append(one)
    return found


def version_of(pin: Requirement) -> str:
    """The one version that a pin allows."""
    return next(iter(pin.specifier)).version


def unmet(wanted: Iterable[str], listed: dict[str, list[Requirement]]) -> list[str]:
    """The requirements for which this Python is given no pin, or a pin that does not satisfy them."""
    missing = []
    for requirement in map(Requirement, wanted):
        if requirement.marker and not requirement.marker.evaluate():
            continue
        given = [
            one
            for one in listed.get(canonicalize_name(requirement.name), [])
            if one.marker is None or one.marker.evaluate()
        ]
        if [requirement.specifier.contains(version_of(one)) for one in given] != [True]:
            missing.append(str(requirement))
    return missing


def wheel(folder: Path, version: str) -> Path:
    """A package of one line, as a wheel."""
    path, info = folder / f"tiny_package-{version}-py3-none-any.whl", f"tiny_package-{version}.dist-info/"
    with zipfile.ZipFile(path, "w") as file:
        file.writestr("tiny_package.py", f"VERSION = {version!r}\n")
        file.writestr(info + "METADATA", f"Metadata-Version: 2.1\nName: tiny_package\nVersion: {version}\n")
        file.writestr(info + "WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        file.writestr(info + "RECORD", "")
    return path


def write_list(project: Path) -> None:
    """Pin the small package in the project's list of packages."""
    digest = hashlib.sha256(wheel(project, "1").read_bytes()).hexdigest()
    (project / "desktop" / "requirements.txt").write_text(
        f"--no-index\n--find-links {project.as_uri()}\ntiny_package==1 --hash=sha256:{digest}\n"
    )


@pytest.fixture(scope="module")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small project with the set-up file, a list of packages, and a command that uses them."""
    folder = (tmp_path_factory.mktemp("made") / "a project").resolve()
    for name in ("desktop", "demo"):
        (folder / name).mkdir(parents=True)
    shutil.copy(ROOT / "desktop" / "bootstrap.py", folder / "desktop")
    (folder / "demo" / "__main__.py").write_text(START)
    (folder / "backend.py").write_text(BACKEND)
    return folder


@pytest.fixture
def project(made_once: Path) -> Path:
    """The small project, set up. Making an environment takes seconds, so that a good one is kept."""
    (made_once / "pyproject.toml").write_text(PYPROJECT)
    write_list(made_once)
    answer = start(made_once)
    assert answer.returncode == 0, answer.stderr
    return made_once


def start(project: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run the project's command with the Python that runs the tests."""
    return subprocess.run(
        [sys.executable, str(project / "demo"), *arguments], capture_output=True, text=True, check=False
    )


def test_a_command_goes_on_inside_the_environment_and_a_second_start_sets_nothing_up(project: Path) -> None:
    stamp = (project / ".venv" / "set-up.json").stat().st_mtime_ns
    second = start(project, "--output", "my folder")
    assert second.stdout == f"inside {project / '.venv'} --output my folder\n", second.stderr
    assert (project / ".venv" / "set-up.json").stat().st_mtime_ns == stamp


def test_a_changed_project_is_installed_again_into_the_same_environment(project: Path) -> None:
    kept = project / ".venv" / "kept"
    kept.touch()
    (project / "pyproject.toml").write_text(PYPROJECT + "# changed\n")
    assert "Set-up complete" in start(project).stdout
    assert kept.exists()
    assert "Set-up complete" not in start(project).stdout


def test_an_interrupted_set_up_is_noticed_and_begun_anew(project: Path) -> None:
    half_done = project / ".venv" / "half done"
    half_done.touch()
    (project / ".venv" / "set-up.json").unlink()
    again = start(project)
    assert again.returncode == 0, again.stderr
    assert not half_done.exists()


def test_a_package_with_another_hash_is_refused_in_words(project: Path, tmp_path: Path) -> None:
    wheel(tmp_path, "2")
    listed = tmp_path / "list.txt"
    listed.write_text(
        f"--no-index\n--find-links {tmp_path.as_uri()}\ntiny_package==2 --hash=sha256:{'0' * 64}\n"
    )
    with pytest.raises(bootstrap.SetUpFailed, match="is not the one that the list names"):
        bootstrap.install_packages(project / ".venv", str(listed))
    assert start(project).returncode == 0


def test_a_package_that_is_nowhere_to_be_had_is_said_in_words(project: Path, tmp_path: Path) -> None:
    listed = tmp_path / "list.txt"
    listed.write_text(f"--no-index\ntiny_package==3 --hash=sha256:{'0' * 64}\n")
    with pytest.raises(bootstrap.SetUpFailed, match="no ready-made package of the listed version"):
        bootstrap.install_packages(project / ".venv", str(listed))


def test_a_lost_connection_is_said_in_words_with_what_to_do() -> None:
    # What pip 23.0.1 wrote on a machine without a network.
    pip_output = (
        "WARNING: Retrying (Retry(total=0, connect=None)) after connection broken by 'NewConnectionError("
        "'<HTTPSConnection>: Failed to establish a new connection: [Errno -3] Temporary failure in name "
        "resolution')': /simple/alembic/\n"
        "ERROR: Could not find a version that satisfies the requirement alembic==1.20.1 (versions: none)\n"
        "ERROR: No matching distribution found for alembic==1.20.1\n"
    )
    words = bootstrap.explain(pip_output)
    assert words.startswith("The packages could not be fetched: there is no connection")
    assert "Run the same command again" in words


def test_a_moved_project_gets_an_environment_at_its_new_place(project: Path) -> None:
    moved = project.parent / "moved"
    project.rename(moved)
    write_list(moved)
    answer = start(moved)
    moved.rename(project)
    assert answer.stdout.splitlines()[-1] == f"inside {moved / '.venv'}", answer.stderr


def test_a_python_that_is_too_old_is_told_so_and_pointed_to_a_newer_one() -> None:
    with pytest.raises(bootstrap.SetUpFailed, match=r"This is Python 3\.9; Knowngood needs 3\.11") as refusal:
        bootstrap.check_python((3, 9))
    newer = any(shutil.which(f"python3.{minor}") for minor in range(11, 21))
    assert ("start with that" in str(refusal.value)) == newer
    bootstrap.check_python((3, 11))


@pytest.mark.parametrize("path", ["desktop/bootstrap.py", "demo/__main__.py", "tests/__main__.py"])
def test_an_old_python_can_read_the_files_that_refuse_it(path: str) -> None:
    ast.parse((ROOT / path).read_text(encoding="utf-8"), feature_version=(3, 8))


def test_a_library_that_is_not_there_is_named_by_its_debian_package(monkeypatch: pytest.MonkeyPatch) -> None:
    before = bootstrap.missing_system_packages(window=False, environment=False)
    monkeypatch.setitem(bootstrap.OFFSCREEN_LIBRARIES, "libof-no-system.so.9", "libof-no-system9")
    after = bootstrap.missing_system_packages(window=False, environment=False)
    assert before == []
    assert after == (["libof-no-system9"] if sys.platform == "linux" else [])


def test_every_dependency_is_pinned_with_hashes_at_a_version_it_allows() -> None:
    groups = PROJECT["dependency-groups"]
    runtime = [*PROJECT["project"]["dependencies"], *groups["build"]]
    assert unmet(runtime, pins(bootstrap.RUNTIME)) == []
    assert unmet([*runtime, *groups["dev"]], pins(bootstrap.TESTS)) == []


def test_the_list_for_tests_holds_the_whole_list_for_running() -> None:
    # A package that running needs on one system alone may be needed by the tests on every one.
    def versions(name: str) -> set[tuple[str, str]]:
        return {(one.name, str(one.specifier)) for pinned in pins(name).values() for one in pinned}

    assert versions(bootstrap.RUNTIME) <= versions(bootstrap.TESTS)


@pytest.mark.parametrize("name", [bootstrap.RUNTIME, bootstrap.TESTS])
def test_the_lists_name_no_address(name: str) -> None:
    assert "://" not in (ROOT / "desktop" / name).read_text(encoding="utf-8")
