"""What is shown can be kept: as pixels at any size, as lines that stay sharp."""

from __future__ import annotations

from typing import TYPE_CHECKING
from xml.etree import ElementTree as ET

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QImage

from knowngood.widgets import theme

if TYPE_CHECKING:
    from pathlib import Path

    from .conftest import Seen


def reds(image: QImage) -> int:
    found = 0
    for x in range(0, image.width(), 2):
        for y in range(0, image.height(), 2):
            pixel = image.pixelColor(x, y)
            found += pixel.red() - pixel.green() > 80
    return found


@pytest.mark.parametrize("scale", [1.0, 2.0, 3.0])
def test_a_picture_has_the_pixels_asked_for_and_shows_the_curves(three: Seen, scale: float) -> None:
    image = three.plot.picture(QSize(640, 400), scale)
    assert (image.width(), image.height()) == (round(640 * scale), round(400 * scale))
    assert reds(image) > 300
    assert image.pixelColor(1, 1) == QColor(theme.CARD)


def test_a_picture_is_saved_as_png(three: Seen, tmp_path: Path) -> None:
    assert three.plot.save_picture(tmp_path / "session.png")
    assert reds(QImage(str(tmp_path / "session.png"))) > 300


def test_a_picture_is_saved_as_lines_with_its_words_as_text(three: Seen, tmp_path: Path) -> None:
    three.plot.set_windows([(100.0, 200.0, "idle <A&B>")])
    assert three.plot.save_picture(tmp_path / "session.svg")
    root = ET.parse(tmp_path / "session.svg").getroot()
    texts = [one.text for one in root.iter() if one.tag.endswith("text")]
    assert {"idle <A&B>", "plot 0", "curve 2", "10:00"} <= set(texts)
    assert any(one.tag.endswith("polyline") for one in root.iter())


@pytest.mark.parametrize("ending", ["png", "svg"])
def test_a_place_that_cannot_be_written_is_told(three: Seen, tmp_path: Path, ending: str) -> None:
    assert not three.plot.save_picture(tmp_path / "not there" / f"session.{ending}")


def test_the_picture_of_a_view_is_of_that_view(three: Seen) -> None:
    whole = three.plot.picture(QSize(640, 400), 1.0)
    three.plot.show_range(100.0, 130.0)
    assert three.plot.picture(QSize(640, 400), 1.0) != whole
    assert three.plot.visible_range() == (100.0, 130.0)
