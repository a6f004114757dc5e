"""A field for a value with any unit of its kind."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QLineEdit, QWidget

from knowngood.formatting import ParseError
from knowngood_refdata.quantities import STANDARD_ATMOSPHERE_PA

if TYPE_CHECKING:
    from knowngood.units import Subject, Units


class QuantityEdit(QLineEdit):
    """Reads ``30 psi``, ``2,1 bar`` or ``75F`` as one types; a bare number takes the unit shown.

    When the unit system changes, a value that was read is written anew in the other system.

    Attributes
    ----------
    changed
        Signal without arguments: the text has changed; ask `si` for the value.
    """

    changed = Signal()

    def __init__(
        self,
        what: Subject,
        units: Units,
        parent: QWidget | None = None,
        *,
        absolute: bool = False,
        difference: bool = False,
    ) -> None:
        super().__init__(parent)
        self._what = what
        self._units = units
        self._absolute = absolute
        self._difference = difference
        self._barometer_pa = STANDARD_ATMOSPHERE_PA
        self._si: float | None = None
        self._problem = ""
        self._rounded = ""
        self._exact: float | None = None
        self._follows_air = False
        self.textChanged.connect(self._read)
        units.changed.connect(self._rewrite)
        self._hint()

    def si(self) -> float | None:
        """The value in SI, None while the field is empty or holds no value; see `problem`."""
        return self._si

    @property
    def counts_from_air(self) -> bool:
        """Whether the value is a gauge pressure, to which the local air pressure was added."""
        return self._si is not None and self._follows_air

    @property
    def problem(self) -> str:
        """Why the text is no value, in words; empty when it is one or the field is empty."""
        return self._problem

    def set_si(self, value: float | None) -> None:
        """Write a value given in SI, a pressure as this field counts it; None empties the field."""
        self._write(value, absolute=self._absolute)

    def set_barometer(self, barometer_pa: float) -> None:
        """Say what air pressure [Pa] a gauge pressure counts from; the text keeps its meaning as typed."""
        moved = barometer_pa - self._barometer_pa
        self._barometer_pa = barometer_pa
        if self._exact is not None and self._follows_air:
            self._exact += moved
        self._read()

    def set_absolute(self, absolute: bool) -> None:
        """Say whether a pressure without a word about it is absolute or gauge."""
        self._absolute = absolute
        self._hint()
        self._read()

    def _write(self, value: float | None, *, absolute: bool) -> None:
        text = "" if value is None else self._written(value, absolute=absolute)
        # The text is rounded for reading; the value itself stays exact.
        self._rounded, self._exact = text, value
        if text == self.text():
            self._read()
        else:
            self.setText(text)
            # In a narrow field the beginning of what the program writes is to be seen.
            self.setCursorPosition(0)

    def _written(self, value: float, *, absolute: bool) -> str:
        return self._units.text(
            value,
            self._what,
            barometer_pa=self._barometer_pa,
            absolute=absolute,
            difference=self._difference,
        )

    def _read(self) -> None:
        self._si, self._problem = None, ""
        if self.text() != self._rounded:
            self._exact = None
        if self.text().strip():
            try:
                self._si = self._parsed(self._barometer_pa)
                # What a text counts from shows in whether the air moves it.
                self._follows_air = self._parsed(self._barometer_pa + 1e3) != self._si
                if self._exact is not None:
                    self._si = self._exact
            except ParseError as error:
                self._problem = str(error)
        self._mark()
        self.changed.emit()

    def _parsed(self, barometer_pa: float) -> float:
        return self._units.parse(
            self.text(),
            self._what,
            barometer_pa=barometer_pa,
            absolute=self._absolute,
            difference=self._difference,
        )

    def _rewrite(self) -> None:
        self._hint()
        if self._si is not None:
            self._write(self._si, absolute=not self._follows_air)

    def _hint(self) -> None:
        label = self._units.label(self._what, absolute=self._absolute, difference=self._difference)
        self.setPlaceholderText(label)

    def _mark(self) -> None:
        self.setToolTip(self._problem)
        if bool(self.property("unfit")) != bool(self._problem):
            self.setProperty("unfit", bool(self._problem))
            self.style().unpolish(self)
            self.style().polish(self)
