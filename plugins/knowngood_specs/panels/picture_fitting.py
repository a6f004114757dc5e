"""Pictures made fit to be kept: upright, of a size that shows every letter of a label, with a small version.

Called off the GUI thread: decoding a photograph takes long.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QSize, Qt
from PySide6.QtGui import QImage, QImageIOHandler, QImageReader, QImageWriter

from knowngood_refdata.pictures import MOST_BYTES, UnfitPicture, look_at

if TYPE_CHECKING:
    from pathlib import Path

MOST_PX, THUMBNAIL_PX = 2400, 240
_QUALITY, _THUMBNAIL_QUALITY = 88, 80


@dataclass(frozen=True, slots=True)
class Fitted:
    """A picture as it is kept, and its small version."""

    content: bytes
    thumbnail: bytes


def read_picture(path: Path) -> bytes:
    """A picture file from disk.

    Raises
    ------
    UnfitPicture
        When it cannot be read, or is too large to be looked into.
    """
    try:
        if path.stat().st_size > MOST_BYTES:
            raise UnfitPicture(
                f"The file has {path.stat().st_size / 1e6:,.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are "
                "kept. Nothing was stored. Save it smaller and add it again."
            )
        return path.read_bytes()
    except OSError as error:
        raise UnfitPicture(
            f"The file cannot be read ({error.strerror}). Nothing was stored. Copy it to this computer first."
        ) from error


def fitted(content: bytes) -> Fitted:
    """A picture scaled to at most 2400 pixels a side, with a thumbnail of at most 240.

    One that fits and stands upright is kept byte for byte.

    Raises
    ------
    UnfitPicture
        When it is no picture, too large, or damaged.
    """
    look_at(content)
    image, turned = _decoded(content)
    if not turned and max(image.width(), image.height()) <= MOST_PX:
        kept = content
    else:
        kept = _encoded(_within(image, MOST_PX), _QUALITY)
    return Fitted(kept, _encoded(_within(image, THUMBNAIL_PX), _THUMBNAIL_QUALITY))


def decoded(content: bytes) -> QImage:
    """A picture that was kept, upright.

    Raises
    ------
    UnfitPicture
        When it cannot be shown.
    """
    return _decoded(content)[0]


def _decoded(content: bytes) -> tuple[QImage, bool]:
    data = QByteArray(content)
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.ReadOnly)
    reader = QImageReader(buffer)
    reader.setAutoTransform(True)
    turned = reader.transformation() != QImageIOHandler.Transformation.TransformationNone
    size = reader.size()
    large = size.isValid() and max(size.width(), size.height()) > MOST_PX
    if large:
        # Decoded small at once where the format can: a large photograph never stands in memory whole.
        reader.setScaledSize(size.scaled(MOST_PX, MOST_PX, Qt.AspectRatioMode.KeepAspectRatio))
    image = reader.read()
    if image.isNull():
        raise UnfitPicture(
            f"The picture cannot be opened ({reader.errorString()}). Nothing was stored. Save it smaller, or "
            "copy it from the camera again."
        )
    return image, turned or large


def _within(image: QImage, most_px: int) -> QImage:
    if max(image.width(), image.height()) <= most_px:
        return image
    return image.scaled(
        QSize(most_px, most_px),
        Qt.AspectRatioMode.KeepAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    )


def _encoded(image: QImage, quality: int) -> bytes:
    form = b"png" if image.hasAlphaChannel() else b"jpeg"
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, QByteArray(form))
    if form == b"jpeg":
        writer.setQuality(quality)
    if not writer.write(image):
        raise UnfitPicture(
            f"The picture cannot be made smaller ({writer.errorString()}). Nothing was stored. Save it as "
            "JPEG and add it again."
        )
    return bytes(data.data())
