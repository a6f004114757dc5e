"""What the running program answers without a window: the `knowngood.api.Program` of checks and reports."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import CheckNote, DerivedChannel, Explanation, LogReader, Measurement, SpecField
    from knowngood.loader import Plugins
    from knowngood_refdata.store import Store


@dataclass(slots=True)
class RunningProgram:
    """The plugins of the running program beside an open library."""

    store: Store
    plugins: Plugins

    def spec_fields(self) -> Sequence[SpecField]:
        """The fields of a vehicle's record that all plugins bring."""
        return self.plugins.spec_fields()

    def derived_channels(self, refrigerant: str) -> Sequence[DerivedChannel]:
        """The channels that all plugins work out of recorded ones, for a session with this refrigerant."""
        return self.plugins.derived_channels(refrigerant)

    def log_readers(self) -> Sequence[LogReader]:
        """The readers of log files that all plugins bring, in the order in which they are asked."""
        return self.plugins.log_readers()

    def explanations(self) -> Sequence[Explanation]:
        """The explanations that all plugins bring for a check-up, those of the program itself first."""
        return self.plugins.explanations()

    def measurements(self) -> Sequence[Measurement]:
        """The measurements that all plugins bring, those of the program itself first."""
        return self.plugins.measurements()

    def session_checks(self, session_id: int) -> Sequence[CheckNote]:
        """What the checks of all plugins found in a session, cautions first."""
        return self.plugins.session_checks(self.store, session_id)

    def setting(self, plugin: str, key: str) -> str | float | bool:
        """The value of a plugin's setting; a KeyError when the plugin brings no such setting."""
        return self.plugins.setting(plugin, key)
