"""The response plane of one family at a time: how its cars answer a doubling of engine speed."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QWidget

from knowngood.widgets import Card, PlaneEllipse, PlaneView, ResponsePlane
from knowngood.widgets.form import form, words
from knowngood_book.core import ellipse
from knowngood_refdata.expected.planes import LEVEL_WITHIN

if TYPE_CHECKING:
    from collections.abc import Sequence

    from knowngood.api import Host
    from knowngood_refdata.expected.patterns import FamilyPattern
    from knowngood_refdata.expected.planes import Plane

NO_PLANE = "No family has readings of one car at two engine speeds yet."
PERCENT = 100.0


class FamilyPlanes(Card):
    """Chooses a family and paints its plane, in percent of the absolute pressure a doubling."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            "Response to engine speed", "percent of the absolute pressure a doubling", parent=parent
        )
        self._host = host
        self._families: tuple[FamilyPattern, ...] = ()
        self.which, self.plane, self._rule = QComboBox(), ResponsePlane(), words("quiet")
        self._choice = QWidget()
        self._choice.setLayout(form([[("&Family", self.which)]], 70))
        for part in (self._choice, self.plane, self._rule):
            self.body.addWidget(part)
        self.which.currentIndexChanged.connect(lambda _place: self._show())

    def show_families(self, families: Sequence[FamilyPattern]) -> None:
        """Offer the families that have a plane; the chosen one stays chosen."""
        before = self.which.currentText()
        self._families = tuple(one for one in families if one.plane is not None)
        self.which.blockSignals(True)
        self.which.clear()
        self.which.addItems([one.name for one in self._families])
        self.which.setCurrentIndex(max(self.which.findText(before), 0))
        self.which.blockSignals(False)
        self._choice.setVisible(bool(self._families))
        self._show()

    def _show(self) -> None:
        place = self.which.currentIndex()
        chosen = self._families[place] if 0 <= place < len(self._families) else None
        if chosen is None or chosen.plane is None:
            self.plane.set_view(None)
            self._rule.setText(NO_PLANE)
            return
        self.plane.set_view(plane_view(chosen.plane))
        self._rule.setText(
            f"{chosen.plane.rule[:1].upper()}{chosen.plane.rule[1:]}; {len(chosen.plane.cars)} cars."
        )


def plane_view(plane: Plane) -> PlaneView:
    """A family's plane as the widget paints it."""
    level = PERCENT * math.expm1(LEVEL_WITHIN)
    return PlaneView(
        this=None,
        level=(level, level),
        cloud=tuple((PERCENT * math.expm1(one.low), PERCENT * math.expm1(one.high)) for one in plane.cars),
        inner=_ellipse(plane, 0.50),
        outer=_ellipse(plane, 0.90),
        unit="%",
        cloud_word="its cars",
    )


def _ellipse(plane: Plane, share: float) -> PlaneEllipse:
    shape = ellipse(plane.low_spread, plane.high_spread, plane.correlation, share)
    return PlaneEllipse(
        PERCENT * math.expm1(plane.low.value),
        PERCENT * math.expm1(plane.high.value),
        PERCENT * shape.half_major,
        PERCENT * shape.half_minor,
        shape.angle_rad,
    )
