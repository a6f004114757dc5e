"""Make the project's own environment in ``.venv`` and go on inside it; the standard library alone.

`enter` is called by ``python demo`` and ``python tests``. It makes a virtual environment from the
pinned and hashed lists beside this file, installs the project into it in place, compiles bytecode, and
looks for the system libraries that Qt needs on Linux. What was done is noted in a stamp inside the
environment, written last: a set-up that was interrupted has none and is begun anew.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
STAMP = ENVIRONMENT / "set-up.json"

RUNTIME = "requirements.txt"
"""The list of what the program needs to run and to be installed in place."""
TESTS = "requirements-tests.txt"
"""The list of everything: the whole of `RUNTIME`, and what checks and tests need."""

OLDEST_PYTHON = (3, 11)

OFFSCREEN_LIBRARIES = {
    "libGL.so.1": "libgl1",
    "libEGL.so.1": "libegl1",
    "libxkbcommon.so.0": "libxkbcommon0",
    "libfontconfig.so.1": "libfontconfig1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libglib-2.0.so.0": "libglib2.0-0",
}
"""What Qt needs on Linux to draw without a screen, and the Debian package that brings it."""

WINDOW_LIBRARIES = {
    **OFFSCREEN_LIBRARIES,
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-image.so.0": "libxcb-image0",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-randr.so.0": "libxcb-randr0",
    "libxcb-render-util.so.0": "libxcb-render-util0",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-sync.so.1": "libxcb-sync1",
    "libxcb-xfixes.so.0": "libxcb-xfixes0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libX11-xcb.so.1": "libx11-xcb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
"""What Qt needs on Linux to open a window."""

PIP_SAYS = {
    "No space left": "The disk is full.",
    "DO NOT MATCH THE HASHES": (
        "A package that was fetched is not the one that the list names (its hash differs). "
        "It was not installed."
    ),
    "NewConnectionError": "The packages could not be fetched: there is no connection to the package index.",
    "NameResolutionError": "The packages could not be fetched: there is no connection to the package index.",
    "ConnectTimeout": "The packages could not be fetched: the package index does not answer.",
    "ReadTimeout": "The packages could not be fetched: the package index stopped answering.",
    "ProxyError": "The packages could not be fetched: the proxy refuses the connection.",
    "SSLError": "The packages could not be fetched: the connection to the package index is not trusted.",
    "No matching distribution": (
        "There is no ready-made package of the listed version for this Python or this system. Needed are "
        "64-bit Windows 10, macOS 14, or Linux with glibc 2.34 (Debian 12, Ubuntu 22.04), or newer."
    ),
}
"""What in pip's answer means what, the surest first."""


class SetUpFailed(Exception):  # noqa: N818 - the name is the sentence that the user is told
    """The set-up cannot go on. The text says what happened, what was kept, and what to do."""


def enter(packages: str, *, window: bool = False) -> None:
    """Return inside the project's environment, which is made or brought up to date first.

    Parameters
    ----------
    packages
        `RUNTIME` or `TESTS`.
    window
        Whether a window will be opened, which needs more system libraries than drawing offscreen.

    Raises
    ------
    SystemExit
        The set-up failed; the reason is its text. Outside the environment the running command is
        started again inside it, and this call does not return.
    """
    try:
        check_python(sys.version_info[:2])
        make_ready(packages, window=window)
    except SetUpFailed as failure:
        raise SystemExit(f"\nSet-up stopped. {failure}") from None
    except KeyboardInterrupt:
        raise SystemExit("\nSet-up interrupted. Run the same command again: it begins anew.") from None
    except OSError as fault:
        raise SystemExit(
            f"\nSet-up stopped. {fault}. Put that right and run the same command again."
        ) from None
    if not Path(sys.prefix).samefile(ENVIRONMENT):
        _start_again()


def check_python(version: tuple[int, int]) -> None:
    """Refuse a Python that is too old, by name of a newer one if this machine has it."""
    if version >= OLDEST_PYTHON:
        return
    import shutil

    newer = [f"python3.{minor}" for minor in range(20, OLDEST_PYTHON[1] - 1, -1)]
    found = next((name for name in newer if shutil.which(name)), None)
    advice = f"This machine has {found}: start with that." if found else "Install one and start with it."
    raise SetUpFailed(
        f"This is Python {version[0]}.{version[1]}; Knowngood needs {OLDEST_PYTHON[0]}.{OLDEST_PYTHON[1]} "
        f"or newer. Nothing was changed. {advice}"
    )


def make_ready(packages: str, *, window: bool) -> None:
    """Do those steps of the set-up that the stamp does not show as done."""
    wanted = fingerprints(packages, window=window)
    if wanted.items() <= _stamped().items():
        return
    with _one_at_a_time():
        done = _stamped()
        if done.get("environment") != wanted["environment"]:
            done = {}
        missing = {step for step, state in wanted.items() if done.get(step) != state}
        if missing:
            _carry_out(missing, packages, window=window)
            _write_stamp({**done, **fingerprints(packages, window=window)})


def fingerprints(packages: str, *, window: bool) -> dict[str, str]:
    """Each step of the set-up with the state of what it depends on."""
    lists = [RUNTIME] if packages == RUNTIME else [RUNTIME, TESTS]
    python = _python_of(ENVIRONMENT)
    steps = {"environment": f"{ROOT} {python.resolve() if python.exists() else 'without a Python'}"}
    steps |= {name: _hash(ROOT / "desktop" / name) for name in lists}
    steps["project"] = _hash(ROOT / "pyproject.toml")
    steps["window" if window else "offscreen"] = "libraries found"
    return steps


def missing_system_packages(*, window: bool, environment: bool) -> list[str]:
    """The Debian packages that this machine lacks: for Qt, and for making an environment."""
    missing = []
    if environment and not any(_can_import(_base_python(), name) for name in ("ensurepip", "pip")):
        missing.append(f"python{sys.version_info[0]}.{sys.version_info[1]}-venv")
    if sys.platform == "linux":
        libraries = WINDOW_LIBRARIES if window else OFFSCREEN_LIBRARIES
        missing += [package for library, package in libraries.items() if not _loads(library)]
    return missing


def make_environment(folder: Path) -> None:
    """Make a new, empty environment in ``folder``; what was there is removed."""
    without_pip = [] if _can_import(_base_python(), "ensurepip") else ["--without-pip"]
    answer = _run([_base_python(), "-m", "venv", "--clear", *without_pip, str(folder)])
    if answer.returncode != 0:
        raise SetUpFailed(f"The environment in {folder} could not be made:\n{_last_lines(answer.stdout)}")


def install_packages(folder: Path, packages: str) -> None:
    """Install the pinned packages of a list into the environment in ``folder``, checking each hash."""
    listed = ROOT / "desktop" / packages
    _pip(folder, "--require-hashes", "--no-deps", "--only-binary=:all:", "--no-compile", f"-r{listed}")


def install_project(folder: Path) -> None:
    """Install the project in place into the environment in ``folder``, with the tools it holds."""
    _pip(folder, "--no-index", "--no-deps", "--no-build-isolation", "--editable", str(ROOT))


def install_wheel(folder: Path, wheel: Path) -> None:
    """Install the project's wheel, without what it depends on, into the environment in ``folder``."""
    _pip(folder, "--no-index", "--no-deps", str(wheel))


def _carry_out(steps: set[str], packages: str, *, window: bool) -> None:
    new = "environment" in steps
    _provide_system_packages(window=window, environment=new)
    if not steps - {"window", "offscreen"}:
        return
    STAMP.unlink(missing_ok=True)
    if new:
        _say(f"Making an environment of the project's own in {ENVIRONMENT}")
        make_environment(ENVIRONMENT)
    if steps & {RUNTIME, TESTS}:
        _say("Installing the packages that the project needs; the first time this takes a few minutes")
        install_packages(ENVIRONMENT, packages)
    install_project(ENVIRONMENT)
    _compile(ENVIRONMENT)
    _say("Set-up complete")


def _provide_system_packages(*, window: bool, environment: bool) -> None:
    """Install what the system lacks, or raise `SetUpFailed` with the one command that does."""
    missing = missing_system_packages(window=window, environment=environment)
    if not missing:
        return
    import shutil

    command = ["apt-get", "install", "--yes", "--no-install-recommends", *missing]
    if shutil.which("apt-get") is None:
        raise SetUpFailed(
            "This system lacks parts that Qt or a Python environment needs. Nothing was changed. "
            f"Install what your system calls these Debian packages, then start again:\n\n{' '.join(missing)}"
        )
    if os.geteuid() != 0:
        raise SetUpFailed(
            "This system lacks a few packages. Nothing was changed. Run this command once, then start "
            f"again:\n\nsudo {' '.join(command)}"
        )
    _say(f"Installing system packages: {' '.join(missing)}")
    _apt_get(command)
    still = missing_system_packages(window=window, environment=environment)
    if still:
        raise SetUpFailed(f"These system packages were installed but bring no use: {' '.join(still)}")


def _apt_get(command: Sequence[str]) -> None:
    """Install system packages, reading the lists of packages first if there are none or old ones."""
    patient = [*command, "-o", "DPkg::Lock::Timeout=120"]
    answer = _run(patient)
    if answer.returncode != 0:
        _run(["apt-get", "update"])
        answer = _run(patient)
    if answer.returncode != 0:
        raise SetUpFailed(
            f"The system packages could not be installed:\n{_last_lines(answer.stdout)}\n"
            f"Run this command by hand, then start again:\n\n{' '.join(command)}"
        )


def _pip(folder: Path, *arguments: str) -> None:
    python = str(_python_of(folder))
    # A Python without ensurepip makes environments without pip; the system's own then works on them.
    pip = [python, "-m", "pip"]
    if not _can_import(python, "pip"):
        pip = [_base_python(), "-m", "pip", "--python", python]
    answer = _run([*pip, "install", "--no-input", "--disable-pip-version-check", "--quiet", *arguments])
    if answer.returncode != 0:
        raise SetUpFailed(f"{explain(answer.stdout)}\n\n{_last_lines(answer.stdout)}")


def explain(pip_output: str) -> str:
    """Say in words why pip failed, what was kept, and what to do."""
    why = next((words for sign, words in PIP_SAYS.items() if sign in pip_output), "pip failed.")
    return (
        f"{why} The project itself is unchanged. Run the same command again once that is put right: "
        "it begins anew. pip's last words were:"
    )


def _compile(folder: Path) -> None:
    """Compile bytecode: a first start without it takes two to three times as long."""
    sources = [str(folder), *(str(ROOT / name) for name in ("desktop", "refdata", "plugins", "demo"))]
    # A package may carry a template that is no Python: a failure here costs speed alone.
    _run([str(_python_of(folder)), "-m", "compileall", "-qq", "-j0", *sources])


def _start_again() -> None:
    command = [str(_python_of(ENVIRONMENT)), *sys.orig_argv[1:]]
    sys.stdout.flush()
    if sys.platform == "win32":
        # Windows has no exec: there the call returns at once and the shell prompts too early.
        raise SystemExit(subprocess.run(command, check=False).returncode)  # noqa: S603 - our own command
    os.execv(command[0], command)  # noqa: S606 - as above


@contextlib.contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Let a second start wait until the first has finished the set-up."""
    with Path(__file__).open("rb") as file:
        if sys.platform == "win32":
            import msvcrt

            file.seek(1 << 30)  # beyond the end: others must be able to read this file
            msvcrt.locking(file.fileno(), msvcrt.LK_LOCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX)
        yield


def _stamped() -> dict[str, str]:
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def _write_stamp(steps: dict[str, str]) -> None:
    unfinished = STAMP.with_suffix(".new")
    unfinished.write_text(json.dumps(steps, indent=1), encoding="utf-8")
    unfinished.replace(STAMP)


def _python_of(folder: Path) -> Path:
    return folder / ("Scripts/python.exe" if sys.platform == "win32" else "bin/python")


def _base_python() -> str:
    """The Python outside any environment: the one inside `ENVIRONMENT` may be about to go."""
    return str(getattr(sys, "_base_executable", None) or sys.executable)


def _can_import(python: str, module: str) -> bool:
    return _run([python, "-c", f"import {module}"]).returncode == 0


def _loads(library: str) -> bool:
    import ctypes

    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def _run(command: Sequence[str]) -> subprocess.CompletedProcess[str]:
    settings = {**os.environ, "DEBIAN_FRONTEND": "noninteractive", "PYTHONSAFEPATH": "1"}
    return subprocess.run(  # noqa: S603 - every command is put together in this file
        command,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        check=False,
        env=settings,
    )


def _hash(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def _last_lines(output: str) -> str:
    lines = output.strip().splitlines()
    errors = [line for line in lines if line.startswith(("ERROR", "E:"))]
    return "\n".join((errors or lines)[-6:])


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()
