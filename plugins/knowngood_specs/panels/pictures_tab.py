"""Pictures of a vehicle: labels, ports, clamp places."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtWidgets import QComboBox, QFileDialog, QGridLayout, QHBoxLayout, QPushButton, QWidget

from knowngood.widgets import Card
from knowngood_refdata.errors import StoreError
from knowngood_refdata.queries import pictures
from knowngood_specs.panels.labels import clear, column, plain
from knowngood_specs.panels.picture_fitting import decoded, fitted, read_picture
from knowngood_specs.panels.picture_tile import TILE_PX, PictureTile
from knowngood_specs.panels.picture_view import PictureView
from knowngood_specs.panels.unsaved import reason_of
from knowngood_specs.panels.vehicle_tab import VehicleTab
from knowngood_specs.picture_data import SHOWS, Added, add_pictures

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from PySide6.QtGui import QResizeEvent

    from knowngood.api import Host
    from knowngood_refdata.queries.pictures import Picture
    from knowngood_refdata.records import Vehicle
    from knowngood_specs.panels.record_forms import RecordForms

FILES = "Pictures (*.jpg *.jpeg *.png *.webp);;All files (*)"
EMPTY = (
    "No picture yet. Photograph the under-hood label: it settles what the book and the internet argue about."
)


class PicturesTab(VehicleTab):
    """Adds, names, shows, removes and brings back pictures."""

    def __init__(self, host: Host, forms: RecordForms, parent: QWidget | None = None) -> None:
        super().__init__(host, parent)
        self._forms = forms
        self._across = 0
        self._card = Card(
            "Pictures", "PNG, JPEG or WebP; large ones are kept with at most 2400 pixels a side"
        )
        self.add_button = QPushButton("Add pictures...")
        self.shows_box = QComboBox()
        self.removed_button = QPushButton("Show removed")
        self.told = plain("", "problem")
        self._empty, self._grid = plain(EMPTY), QGridLayout()
        self._lay_out()

    def show_vehicle(self, vehicle: Vehicle) -> None:
        """Show the pictures of a vehicle."""
        if self._vehicle is None or self._vehicle.id != vehicle.id:
            self._tell("")
            self.removed_button.setChecked(False)
        self._vehicle = vehicle
        self._show()

    def add(self, paths: Sequence[Path]) -> None:
        """Add picture files, off the GUI thread."""
        vehicle, shows = self._vehicle, self.shows_box.currentText()
        if vehicle is None or not paths:
            return
        self.add_button.setEnabled(False)
        self._host.tasks.run(
            "Adding pictures",
            lambda progress: add_pictures(self._host.store, vehicle.id, paths, shows, _fit, progress),
            done=partial(self._added, vehicle.id),
            failed=self._failed,
        )

    def resizeEvent(self, event: QResizeEvent) -> None:  # noqa: N802 - Qt's name
        """Lay the pictures out anew when more or fewer fit beside one another."""
        super().resizeEvent(event)
        if self._vehicle is not None and self._fitting() != self._across:
            self._show()

    def _lay_out(self) -> None:
        self.shows_box.addItems(SHOWS)
        self.shows_box.setAccessibleName("what the pictures to be added show")
        self.removed_button.setObjectName("link")
        self.removed_button.setCheckable(True)
        self.add_button.clicked.connect(self._ask)
        self.removed_button.toggled.connect(lambda _on: self._show())
        row = QHBoxLayout()
        row.addWidget(self.add_button)
        row.addWidget(plain("of"))
        row.addWidget(self.shows_box)
        row.addStretch(1)
        row.addWidget(self.removed_button)
        self._grid.setSpacing(14)
        self._grid.setColumnStretch(99, 1)
        self._card.body.addLayout(row)
        for part in (self.told, self._empty):
            self._card.body.addWidget(part)
        self._card.body.addLayout(self._grid)
        self.told.hide()
        column(self).addWidget(self._card)

    def _ask(self) -> None:
        names, _ = QFileDialog.getOpenFileNames(self, "Add pictures", "", FILES)
        self.add([Path(one) for one in names])

    def _show(self) -> None:
        if self._vehicle is None:
            return
        removed = self.removed_button.isChecked()
        try:
            kept = pictures.pictures(self._host.store, self._vehicle.id)
            gone = pictures.pictures(self._host.store, self._vehicle.id, removed=True)
        except StoreError as error:
            self._tell(str(error))
            return
        self.removed_button.setText("Back to the pictures" if removed else f"Removed ({len(gone)})")
        self.removed_button.setVisible(bool(gone) or removed)
        shown = gone if removed else kept
        self._empty.setVisible(not shown and not removed)
        self._across = self._fitting()
        clear(self._grid)
        for place, picture in enumerate(shown):
            self._grid.addWidget(self._tile(picture, removed=removed), *divmod(place, self._across))

    def _tile(self, picture: Picture, *, removed: bool) -> PictureTile:
        tile = PictureTile(picture, removed=removed)
        tile.view.connect(lambda: self._view(picture))
        tile.describe.connect(lambda shows: self._describe(picture, shows))
        tile.remove.connect(lambda: self._remove(picture))
        tile.restore.connect(lambda: self._restore(picture))
        return tile

    def _view(self, picture: Picture) -> None:
        store = self._host.store
        self._host.tasks.run(
            "Opening the picture",
            lambda _progress: decoded(pictures.content(store, picture.id)),
            done=lambda image: PictureView(f"{picture.shows}: {picture.name}", image, self).open(),
            failed=lambda error: self._tell(str(error)),
        )

    def _describe(self, picture: Picture, shows: str) -> None:
        self._store(lambda: pictures.describe(self._host.store, picture.id, picture.version, shows))

    def _restore(self, picture: Picture) -> None:
        self._store(lambda: pictures.restore(self._host.store, picture.id, picture.version))

    def _remove(self, picture: Picture) -> None:
        self._forms.ask(
            picture.vehicle_id,
            reason_of("remove picture", picture.id),
            "Remove a picture",
            f"{picture.name} ({picture.shows}) will no longer be shown. It can be brought back.",
            "Remove it",
            lambda why: pictures.remove(self._host.store, picture.id, picture.version, why),
            "The picture was removed; it can be brought back.",
        )

    def _store(self, act: Callable[[], None]) -> None:
        assert self._vehicle is not None
        try:
            act()
        except StoreError as error:
            self._tell(str(error))
            self._show()
            return
        self._tell("")
        self.changed.emit(self._vehicle.id)

    def _added(self, vehicle_id: int, added: Added) -> None:
        self.add_button.setEnabled(True)
        self._host.say(added.words.replace("\n", " "))
        if self._vehicle is not None and self._vehicle.id == vehicle_id:
            self._tell("\n".join(added.refused))
            if added.count:
                self.changed.emit(vehicle_id)

    def _failed(self, error: BaseException) -> None:
        self.add_button.setEnabled(True)
        self._tell(f"The pictures could not be added: {error}")

    def _tell(self, words: str) -> None:
        self.told.setText(words)
        self.told.setVisible(bool(words))

    def _fitting(self) -> int:
        return max((self.width() - 36) // (TILE_PX + 14), 1)


def _fit(path: Path) -> tuple[bytes, bytes]:
    made = fitted(read_picture(path))
    return made.content, made.thumbnail
