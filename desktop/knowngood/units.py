"""The unit system that the window shows, with a signal for when it changes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from knowngood import formatting
from knowngood.scales import Subject, System
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood_refdata.records import Estimate

__all__ = ["Subject", "System", "Units"]


class Units(QObject):
    """Writes and reads values in the chosen unit system.

    Parameters
    ----------
    system
        The system to begin with.
    remember
        Called with the new system after each change, to keep it for the next start.

    Attributes
    ----------
    changed
        Signal without arguments: the system has changed, show everything anew.
    """

    changed = Signal()

    def __init__(
        self,
        system: System = System.US,
        *,
        remember: Callable[[System], None] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._system = system
        self._remember = remember

    @property
    def system(self) -> System:
        """The unit system now shown."""
        return self._system

    def set_system(self, system: System) -> None:
        """Choose the unit system; nothing happens when it is chosen already."""
        if system is self._system:
            return
        self._system = system
        if self._remember is not None:
            self._remember(system)
        self.changed.emit()

    def text(
        self,
        value_si: float | None,
        what: Subject,
        *,
        uncertainty_si: float | None = None,
        barometer_pa: float = STANDARD_ATMOSPHERE_PA,
        absolute: bool = False,
        difference: bool = False,
        decimals: int | None = None,
    ) -> str:
        """A value with its unit: see `knowngood.formatting.text`."""
        return formatting.text(
            value_si,
            what,
            self._system,
            uncertainty_si=uncertainty_si,
            barometer_pa=barometer_pa,
            absolute=absolute,
            difference=difference,
            decimals=decimals,
        )

    def estimate_text(
        self,
        estimate: Estimate,
        what: Subject,
        *,
        barometer_pa: float = STANDARD_ATMOSPHERE_PA,
        absolute: bool = False,
        difference: bool = False,
    ) -> str:
        """An estimate with its 95 % uncertainty: see `knowngood.formatting.estimate_text`."""
        return formatting.estimate_text(
            estimate,
            what,
            self._system,
            barometer_pa=barometer_pa,
            absolute=absolute,
            difference=difference,
        )

    def value(
        self,
        value_si: float,
        what: Subject,
        *,
        barometer_pa: float = STANDARD_ATMOSPHERE_PA,
        absolute: bool = False,
        difference: bool = False,
    ) -> float:
        """The number that the display unit shows: see `knowngood.formatting.value`."""
        return formatting.value(
            value_si,
            what,
            self._system,
            barometer_pa=barometer_pa,
            absolute=absolute,
            difference=difference,
        )

    def label(self, what: Subject, *, absolute: bool = False, difference: bool = False) -> str:
        """The unit as it stands behind a value: see `knowngood.formatting.label`."""
        return formatting.label(what, self._system, absolute=absolute, difference=difference)

    def parse(
        self,
        text: str,
        what: Subject,
        *,
        barometer_pa: float = STANDARD_ATMOSPHERE_PA,
        absolute: bool = False,
        difference: bool = False,
    ) -> float:
        """The value in SI of a typed text: see `knowngood.formatting.parse`.

        Raises
        ------
        knowngood.formatting.ParseError
            When the text is no value of the kind; the message is meant for the reader.
        """
        return formatting.parse(
            text,
            what,
            self._system,
            barometer_pa=barometer_pa,
            absolute=absolute,
            difference=difference,
        )
