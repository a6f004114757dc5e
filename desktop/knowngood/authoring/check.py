"""What is wrong with a plugin, in words: its files first, then what happens when it runs."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING

from knowngood.authoring.findings import Findings
from knowngood.authoring.reading import HEAVY, heavy_imports, look_at_files
from knowngood.loader import State
from knowngood.loader.sources import FolderSource
from knowngood.loader.status import QUICK_MS, PluginMistake

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.authoring.trial import Trial
    from knowngood.loader import PluginStatus
    from knowngood.loader.candidate import Candidate


def _silent(_what: str) -> None:
    return


def check(place: Path, doing: Callable[[str], None] = _silent) -> Findings:
    """Check the plugin in a folder, file or zip file: it is read, loaded, asked, and its pages are opened.

    Parameters
    ----------
    place
        The folder or file.
    doing
        Told what is being done, before it is done: a plugin may end the process or never come back.
    """
    found = Findings()
    with TemporaryDirectory(prefix="knowngood-check-", ignore_cleanup_errors=True) as room:
        candidate = read(place, Path(room), found)
        if candidate is not None:
            _run(place, Path(room), candidate, found, doing)
    return found


def read(place: Path, room: Path, found: Findings) -> Candidate | None:
    """Look at the files of a plugin; nothing of it runs. None when they are no plugin."""
    try:
        candidate = FolderSource(place.resolve(), room / "unpacked").examine()
    except PluginMistake as error:
        found.is_wrong(str(error))
    except OSError as error:
        found.is_wrong(f"{error.filename or place}: {error.strerror or error}")
    else:
        look_at_files(candidate, found)
        return candidate
    return None


def _run(
    place: Path, room: Path, candidate: Candidate, found: Findings, doing: Callable[[str], None]
) -> None:
    from knowngood.authoring.trial import Trial

    with Trial(place, room, doing) as trial:
        trial.run()
        status = trial.status()
        if status.state is not State.RUNNING and not status.failures:
            found.is_wrong(status.reason)
        for words in (*map(str, status.failures), *map(str, trial.failures), *trial.collisions()):
            found.is_wrong(words)
        found.seen += status.contributions
        found.better += [*_late(trial), *_costs(status, trial.imported, candidate)]


def _late(trial: Trial) -> list[str]:
    warned = [f"Qt warns: {one}" for one in trial.warnings]
    return warned + [
        f"the window stands still for {spent_ms:.0f} ms while the page '{title}' is made: what takes long "
        "belongs to host.tasks.run"
        for title, spent_ms in trial.slow_pages.items()
    ]


def _costs(status: PluginStatus, loaded: frozenset[str], candidate: Candidate) -> list[str]:
    told = {module.partition(".")[0] for _, module in heavy_imports(candidate)}
    heavy = [one for one in HEAVY if one in loaded and one not in told]
    found = [f"importing its hooks loads {one}: import it inside the function that needs it" for one in heavy]
    if status.start_ms > QUICK_MS:
        found.append(
            f"it adds {status.start_ms:.0f} ms to the start; one that keeps to the guide adds less than "
            f"{QUICK_MS:.0f}"
        )
    return found
