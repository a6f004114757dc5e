"""Known-good readings of both refrigerants laid over each other on saturation temperatures."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QHBoxLayout, QPushButton, QSizePolicy

from knowngood.widgets import Card, CurvePlot, PlottedPoints, theme
from knowngood.widgets.form import named, words
from knowngood.widgets.picture import ask_and_save
from knowngood_comparison.core.clouds import Speeds
from knowngood_comparison.panels.cloud_words import cloud_words, reading_words
from knowngood_comparison.panels.numbers import in_units
from knowngood_refdata.quantities import Kind

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood_comparison.core.clouds import Cloud

TITLE = "Known-good readings on saturation temperatures"
POINT_AT = (
    "Point at a reading, or step with the arrow keys, for its car and conditions. Hollow: none like it with "
    "the other refrigerant."
)
SYMBOLS = ("o", "t1")


class CloudCard(Card):
    """The choice of readings, the points, and words about the one under the mouse.

    Attributes
    ----------
    speeds_changed
        Signal without arguments: readings of other engine speeds are asked for.
    """

    speeds_changed = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(TITLE, parent=parent)
        self._units, self._say = host.units, host.say
        self.speeds = QComboBox()
        self.speeds.addItems([*Speeds])
        self.like_only = QCheckBox("&Like conditions only")
        self.plot = CurvePlot("known-good readings of both refrigerants")
        self.counts, self.pointed = words("quiet"), words("quiet", POINT_AT)
        self._save = QPushButton("Save picture...")
        self._clouds: tuple[Cloud, Cloud] | None = None
        self._lay_out()
        self.speeds.currentIndexChanged.connect(lambda _: self.speeds_changed.emit())
        self.like_only.toggled.connect(lambda _: self._draw())
        self.plot.pointed.connect(lambda told: self.pointed.setText(told or POINT_AT))
        self._save.clicked.connect(self._save_picture)

    @property
    def wanted_speeds(self) -> Speeds:
        """The readings asked for, by engine speed."""
        return Speeds(self.speeds.currentText())

    def show_clouds(self, clouds: tuple[Cloud, Cloud]) -> None:
        """Draw other readings."""
        self._clouds = clouds
        self._draw()

    def _draw(self) -> None:
        if self._clouds is None:
            return
        unit = self._units.label(Kind.TEMPERATURE)
        points = [one for number, cloud in enumerate(self._clouds) for one in self._plotted(cloud, number)]
        self.plot.show_content(
            (), points, f"evaporating temperature, {unit}", f"condensing temperature, {unit}"
        )
        self.counts.setText("\n".join(cloud_words(cloud, self._units) for cloud in self._clouds))

    def _plotted(self, cloud: Cloud, number: int) -> list[PlottedPoints]:
        """The readings with a like one on the other side, and those without, as two clouds."""
        parts = [(cloud.alike, False, f"{cloud.refrigerant}, like conditions")]
        if not self.like_only.isChecked():
            parts.append((~cloud.alike, True, f"{cloud.refrigerant}, others"))
        return [
            PlottedPoints(
                name,
                theme.CURVES[number],
                in_units(cloud.evaporating_k[kept], Kind.TEMPERATURE, self._units),
                in_units(cloud.condensing_k[kept], Kind.TEMPERATURE, self._units),
                tuple(reading_words(cloud, int(place), self._units) for place in kept.nonzero()[0]),
                SYMBOLS[number],
                hollow,
            )
            for kept, hollow, name in parts
            if kept.any()
        ]

    def _save_picture(self) -> None:
        told = ask_and_save(self, self.plot, "known-good readings.png")
        if told:
            self._say(told)

    def _lay_out(self) -> None:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(named("&Readings", self.speeds))
        row.addWidget(self.speeds)
        row.addWidget(self.like_only)
        row.addStretch(1)
        self._save.setObjectName("link")
        row.addWidget(self._save)
        self.plot.setMinimumHeight(220)
        self.body.addLayout(row)
        self.body.addWidget(self.plot, stretch=1)
        self.body.addWidget(self.counts)
        self.body.addWidget(self.pointed)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
