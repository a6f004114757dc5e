"""The user's settings: typed, kept in one JSON file, never lost to a broken one."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, fields, replace
from typing import TYPE_CHECKING, Any

from knowngood.files import replace_text, set_aside
from knowngood.scales import System

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

OF_PLUGINS = "of plugins"
"""The name in the file under which the values of plugins' settings stand, by plugin and key."""


@dataclass(frozen=True, slots=True)
class Settings:
    """What the program remembers from one start to the next.

    Attributes
    ----------
    units
        The unit system shown.
    user
        The name under which work is recorded; empty means the name of the computer's account.
    shop
        The shop's name and address, as the head of a report shows them.
    library
        The library to open: a path or a database address; empty means the one in the data folder.
    plugins_folder
        Where plugins of the user lie; empty means the folder of that name in the data folder.
    plugin_policy
        A file that lists the plugins that may be approved; empty means the one beside the library, if any.
    window
        Place and size of the window, as the window writes them.
    last_page
        The key of the page that was in front.
    """

    units: System = System.US
    user: str = ""
    shop: str = ""
    library: str = ""
    plugins_folder: str = ""
    plugin_policy: str = ""
    window: str = ""
    last_page: str = ""


class SettingsFile:
    """The settings with the file they are kept in.

    Attributes
    ----------
    messages
        Sentences for the user about what could not be read or written.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._foreign: dict[str, Any] = {}
        self._of_plugins: dict[str, dict[str, object]] = {}
        self.messages: list[str] = []
        self._settings = self._load()

    @property
    def now(self) -> Settings:
        """The settings as they are."""
        return self._settings

    def change(self, **changes: object) -> Settings:
        """Change some settings and write the file; what cannot be written still holds until the end.

        Raises
        ------
        TypeError
            When a name is no setting.
        """
        self._settings = replace(self._settings, **changes)  # type: ignore[arg-type]
        self._write()
        return self._settings

    def of_plugin(self, name: str) -> Mapping[str, object]:
        """What is kept for the settings of a plugin, by key; the plugin need not be there."""
        return self._of_plugins.get(name, {})

    def change_of_plugin(self, name: str, key: str, value: str | float | bool) -> None:
        """Change a setting of a plugin and write the file."""
        self._of_plugins = {**self._of_plugins, name: {**self.of_plugin(name), key: value}}
        self._write()

    def _write(self) -> None:
        # What a newer version of the program has stored is handed on untouched.
        content = {**self._foreign, **asdict(self._settings), OF_PLUGINS: self._of_plugins}
        try:
            replace_text(self._path, json.dumps(content, indent=1, ensure_ascii=False))
        except OSError as error:
            self.messages.append(f"The settings cannot be kept: {error}. They hold until the program ends.")

    def _load(self) -> Settings:
        try:
            content = json.loads(self._path.read_text("utf-8"))
            if not isinstance(content, dict):
                raise ValueError("it holds no settings")  # noqa: TRY004, TRY301 - a broken file either way
        except FileNotFoundError:
            return Settings()
        except OSError as error:
            self.messages.append(f"The settings cannot be read: {error}. The usual ones are in use.")
            return Settings()
        except ValueError as error:
            aside = set_aside(self._path)
            self.messages.append(
                f"The settings could not be read ({error}). The file was kept as {aside}; "
                "the usual settings are in use."
            )
            return Settings()
        return self._settings_of(content)

    def _settings_of(self, content: dict[str, Any]) -> Settings:
        names = {one.name for one in fields(Settings)}
        self._foreign = {name: value for name, value in content.items() if name not in {*names, OF_PLUGINS}}
        self._of_plugins = self._taken_for_plugins(content.get(OF_PLUGINS, {}))
        known: dict[str, Any] = {}
        for name in names & content.keys():
            try:
                known[name] = _checked(name, content[name])
            except ValueError:
                self.messages.append(
                    f"The setting '{name}' cannot be {content[name]!r}; the usual value is in use."
                )
        return Settings(**known)

    def _taken_for_plugins(self, content: object) -> dict[str, dict[str, object]]:
        if isinstance(content, dict) and all(isinstance(one, dict) for one in content.values()):
            return content
        self.messages.append("The settings of plugins cannot be read; the usual values are in use.")
        return {}


def _checked(name: str, value: object) -> object:
    if not isinstance(value, str):
        raise ValueError(name)  # noqa: TRY004 - reported as a wrong value, whatever its type
    return System(value) if name == "units" else value
