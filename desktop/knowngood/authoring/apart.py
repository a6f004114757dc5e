"""Checks a plugin in a process of its own, so that one that ends it or never comes back is told of, too."""

from __future__ import annotations

import faulthandler
import json
import re
import subprocess
import sys
from dataclasses import asdict
from pathlib import Path
from tempfile import TemporaryDirectory

from knowngood.authoring.check import check
from knowngood.authoring.findings import Findings

LONGEST_S = 30.0
_ANSWER, _DOING, _TROUBLE = "answer.json", "doing.txt", "trouble.txt"
_MOST_TROUBLE = 20_000
_FRAME = re.compile(r'File "(?P<file>.+)", line (?P<line>\d+) in (?P<function>.+)')


def check_apart(place: Path, longest_s: float = LONGEST_S) -> Findings:
    """Check a plugin as `knowngood.authoring.check.check` does, ``longest_s`` seconds a step at most."""
    with TemporaryDirectory(prefix="knowngood-check-", ignore_cleanup_errors=True) as folder:
        room = Path(folder)
        # -P: what lies in the folder that the author works in must not stand in for a library.
        command = [sys.executable, "-P", "-m", __name__, str(place.resolve()), folder, str(longest_s)]
        with (room / _TROUBLE).open("wb") as trouble:
            done = subprocess.run(  # noqa: S603 - this very program, with a place as its argument
                command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=trouble, check=False
            )
        try:
            return Findings(**json.loads((room / _ANSWER).read_text("utf-8")))
        except FileNotFoundError:
            return Findings(wrong=[_ended(room, place, done.returncode, longest_s)])


def _ended(room: Path, place: Path, code: int, longest_s: float) -> str:
    """Why there is no answer, in a sentence."""
    doing = room / _DOING
    during = doing.read_text("utf-8") if doing.exists() else "starting"
    trouble = (room / _TROUBLE).read_bytes()[-_MOST_TROUBLE:].decode(errors="replace")
    if "Timeout (" not in trouble:
        return f"{during}: it ended the whole process (exit code {code}), which would end the program"
    where = _innermost(trouble, place)
    return f"{during}: it had not come back after {longest_s:.0f} s{where}; the window would stand still"


def _innermost(trouble: str, place: Path) -> str:
    """Where in the plugin's files the process stood, as far as its last words tell."""
    root = place.resolve() if place.is_dir() else place.resolve().parent
    for frame in _FRAME.finditer(trouble):
        if Path(frame["file"]).is_relative_to(root):
            return f" ({frame['file']}, line {frame['line']}, in {frame['function']})"
    return ""


def _main(place: str, folder: str, longest_s: str) -> None:
    room = Path(folder)

    def begin(what: str) -> None:
        # Its watch is a thread of its own, which needs no interpreter: it ends native code as well.
        faulthandler.dump_traceback_later(float(longest_s), exit=True)
        _write(room / _DOING, what)

    found = check(Path(place), begin)
    faulthandler.cancel_dump_traceback_later()
    _write(room / _ANSWER, json.dumps(asdict(found)))


def _write(path: Path, text: str) -> None:
    path.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    _main(*sys.argv[1:])
