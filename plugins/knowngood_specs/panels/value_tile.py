"""One value on the view of sources: what is printed, who says so, and what can be done about it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from knowngood.widgets import theme
from knowngood_specs.panels.labels import link, plain
from knowngood_specs.words import counts_because, standing_line, value_line, where_line

if TYPE_CHECKING:
    from knowngood.units import System
    from knowngood_refdata.records import SpecValue, Vehicle
    from knowngood_specs.core.sides import Sides
    from knowngood_specs.panels.record_forms import RecordForms

# The one that counts is told by a bar and a word, not by its colour alone.
TILE_STYLE = f"""
QFrame#tile {{ border: 1px solid {theme.EDGE}; border-radius: 5px; }}
QFrame#countingTile {{
    border: 1px solid {theme.ACCENT}; border-left: 4px solid {theme.ACCENT}; border-radius: 5px;
}}
QLabel#printed {{ font-size: 12pt; font-weight: 600; }}
"""
"""For whatever holds the tiles: a style of its own would cost each of them more than all the rest."""


class ValueTile(QFrame):
    """A value of one of the sources of a field."""

    def __init__(
        self,
        vehicle: Vehicle,
        sides: Sides,
        spec: SpecValue,
        system: System,
        forms: RecordForms,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._vehicle, self._sides, self._spec, self._forms = vehicle, sides, spec, forms
        self._counts = spec is sides.values[0]
        self.setObjectName("countingTile" if self._counts and not sides.alone else "tile")
        self._line = value_line(spec, system, (sides.field,))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(10, 8, 10, 8)
        layout.setSpacing(3)
        for label in self._labels():
            layout.addWidget(label)
        layout.addStretch(1)
        layout.addLayout(self._buttons())

    def _labels(self) -> list[QWidget]:
        spec, line = self._spec, self._line
        kind = plain(str(spec.source_kind), "quiet", bold=True)
        labels: list[QWidget] = [kind, plain(line.as_printed, "printed")]
        if line.converted:
            labels.append(plain(f"= {line.converted}"))
        labels += [plain(text, "quiet") for text in (where_line(spec), standing_line(spec)) if text]
        if self._counts and not self._sides.alone:
            labels.append(plain(counts_because(spec, self._sides.decided), bold=True))
        return labels

    def _buttons(self) -> QVBoxLayout:
        vehicle, spec, forms = self._vehicle, self._spec, self._forms
        of = f"{self._sides.field.title} {spec.as_printed}"
        column, row = QVBoxLayout(), QHBoxLayout()
        row.setSpacing(0)
        if not self._counts:
            decide = link("Let it count...", lambda: forms.decide(vehicle, spec), f"let {of} count")
            column.addLayout(_left(decide))
        elif self._sides.decided is not None:
            field = self._sides.field.name
            undo = link(
                "Undo the decision...", lambda: forms.undecide(vehicle, field), f"undo decision: {of}"
            )
            column.addLayout(_left(undo))
        if not spec.reviewed_by:
            row.addWidget(link("Review", lambda: forms.review(vehicle, spec), f"review {of}"))
        row.addWidget(link("Correct...", lambda: forms.correct(vehicle, spec), f"correct {of}"))
        row.addWidget(link("Retire...", lambda: forms.retire(vehicle, spec), f"retire {of}"))
        row.addStretch(1)
        column.addLayout(row)
        return column


def _left(button: QWidget) -> QHBoxLayout:
    row = QHBoxLayout()
    row.addWidget(button)
    row.addStretch(1)
    return row
