"""What people decided about plugins: a file beside the settings, never lost to a broken one."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from knowngood.files import replace_text, set_aside

if TYPE_CHECKING:
    from pathlib import Path


@dataclass(frozen=True, slots=True)
class Decision:
    """One person's decision about one plugin with these contents; ``when`` is in ISO 8601, UTC."""

    user: str
    name: str
    sha256: str
    approved: bool
    when: str

    @property
    def day(self) -> str:
        """The date alone."""
        return self.when[:10]


class Decisions:
    """Who approved or refused what, and which plugins are switched off on this computer.

    Parameters
    ----------
    path
        The JSON file; None keeps everything in memory.

    Attributes
    ----------
    messages
        Sentences for the user about what could not be read or written.
    """

    def __init__(self, path: Path | None = None) -> None:
        self._path = path
        self._decisions: list[Decision] = []
        self._off: set[str] = set()
        self.messages: list[str] = []
        if path is not None:
            self._read(path)

    def latest(self, user: str, name: str, sha256: str | None = None) -> Decision | None:
        """A person's last decision about a plugin, with these contents or with any."""
        for one in reversed(self._decisions):
            if (one.user, one.name) == (user, name) and sha256 in (None, one.sha256):
                return one
        return None

    def decide(self, user: str, name: str, sha256: str, *, approved: bool) -> Decision:
        """Remember a decision; former ones about the same contents give way to it."""
        when = datetime.now(UTC).isoformat(timespec="seconds")
        made = Decision(user, name, sha256, approved, when)
        self._decisions = [
            one for one in self._decisions if (one.user, one.name, one.sha256) != (user, name, sha256)
        ]
        self._decisions.append(made)
        self._write()
        return made

    def is_off(self, name: str) -> bool:
        """Whether a plugin is switched off."""
        return name in self._off

    def switch(self, name: str, *, on: bool) -> None:
        """Remember that a plugin is switched on or off."""
        if self.is_off(name) is on:
            self._off ^= {name}
            self._write()

    def _read(self, path: Path) -> None:
        try:
            content = json.loads(path.read_text("utf-8"))
            self._decisions = [_decision(one) for one in content["decisions"]]
            self._off = {str(one) for one in content["off"]}
        except FileNotFoundError:
            return
        except OSError as error:
            self.messages.append(f"What was decided about plugins cannot be read: {error}.")
        except (ValueError, KeyError, TypeError) as error:
            self._decisions, self._off = [], set()
            self._set_aside(path, error)

    def _set_aside(self, path: Path, error: Exception) -> None:
        try:
            kept = f"The file was kept as {set_aside(path)}"
        except OSError as trouble:
            kept = f"The file cannot be moved: {trouble}"
        self.messages.append(
            f"What was decided about plugins could not be read ({error}). {kept}; "
            "plugins of others wait for approval again."
        )

    def _write(self) -> None:
        if self._path is None:
            return
        content = {"decisions": [asdict(one) for one in self._decisions], "off": sorted(self._off)}
        try:
            replace_text(self._path, json.dumps(content, indent=1, ensure_ascii=False))
        except OSError as error:
            self.messages.append(
                f"What was decided about plugins cannot be kept: {error}. It holds until the program ends."
            )


def _decision(of: dict[str, Any]) -> Decision:
    made = Decision(**of)
    texts = (made.user, made.name, made.sha256, made.when)
    if not all(isinstance(one, str) for one in texts) or not isinstance(made.approved, bool):
        raise ValueError("a decision is incomplete")
    return made
