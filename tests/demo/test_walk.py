"""The walk through the program without a display, in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

WALK = """
import sys
from pathlib import Path
from knowngood_demo.fleet_stage import command
from knowngood_demo.stage import set_stage
from knowngood_demo.walk import walk
set_stage(Path(sys.argv[1]))
command("plugins", "--approve", "broken")
sys.exit(walk(Path(sys.argv[1])))
"""


def test_a_walk_shows_and_writes_everything_and_fails_naming_a_plugin_that_failed(tmp_path: Path) -> None:
    broken = tmp_path / "data" / "plugins" / "broken.py"
    broken.parent.mkdir(parents=True)
    broken.write_text('raise RuntimeError("no such part")\n')
    output = tmp_path / "output"
    answer = subprocess.run(
        [sys.executable, "-c", WALK, str(output)],
        env={**os.environ, "KNOWNGOOD_DATA": str(tmp_path / "data"), "QT_QPA_PLATFORM": "offscreen"},
        capture_output=True,
        text=True,
        check=False,
    )
    told = [line for line in answer.stderr.splitlines() if line.startswith("- ")]
    assert len(told) == 1, answer.stderr
    assert told[0].startswith("- plugin broken: ")
    assert "no such part" in told[0]
    assert answer.returncode == 1
    # An undercharged car runs high superheat and low subcooling: common practice, no source.
    idle = {line.split()[0]: line for line in answer.stdout.split("\n\n")[1].splitlines()}
    assert " above " in idle["superheat"]
    assert " below " in idle["subcooling"]
    pages = {
        "book",
        "calculator",
        "checkup",
        "comparison",
        "fleet",
        "plugins",
        "sessions",
        "settings",
        "specs",
    }
    written = {path.name for path in output.iterdir() if path.suffix in {".png", ".pdf", ".html"}}
    assert written == {f"{page}_{system}.png" for page in pages for system in ("us", "si")} | {
        f"report_{system}.{ending}" for system in ("us", "si") for ending in ("pdf", "html")
    }
