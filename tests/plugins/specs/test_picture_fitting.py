"""Pictures made fit to be kept; what is none, or too large, is refused in words."""

from __future__ import annotations

import struct
import zlib
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QColor, QImage, QImageWriter

from knowngood_refdata.pictures import MediaType, UnfitPicture, look_at
from knowngood_specs.panels.picture_fitting import decoded, fitted, read_picture

if TYPE_CHECKING:
    from pathlib import Path


def picture(width: int, height: int, form: bytes = b"jpeg", image: QImage.Format | None = None) -> bytes:
    drawn = QImage(width, height, image or QImage.Format.Format_RGB32)
    drawn.fill(QColor("#2a6a55"))
    data = QByteArray()
    buffer = QBuffer(data)
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    assert QImageWriter(buffer, QByteArray(form)).write(drawn)
    return bytes(data.data())


def lying_on_its_side(jpeg: bytes) -> bytes:
    """The same photograph with the mark that it is to be turned by a quarter: orientation 6 of EXIF 2.3."""
    entry = struct.pack(">HHIHH", 0x0112, 3, 1, 6, 0)
    body = b"Exif\0\0MM\0*" + struct.pack(">IH", 8, 1) + entry + struct.pack(">I", 0)
    return jpeg[:2] + b"\xff\xe1" + struct.pack(">H", len(body) + 2) + body + jpeg[2:]


def size(content: bytes) -> tuple[int, int]:
    facts = look_at(content)
    return facts.width, facts.height


def test_a_picture_that_fits_is_kept_byte_for_byte() -> None:
    content = picture(800, 600)
    made = fitted(content)
    assert made.content == content
    assert size(made.thumbnail) == (240, 180)


@pytest.mark.parametrize("form", [b"jpeg", b"png"])
def test_a_large_picture_keeps_its_shape_within_2400_pixels(form: bytes) -> None:
    made = fitted(picture(3000, 1500, form))
    assert size(made.content) == (2400, 1200)
    assert look_at(made.content).media_type is MediaType.JPEG


def test_a_photograph_lying_on_its_side_is_set_upright() -> None:
    made = fitted(lying_on_its_side(picture(800, 600)))
    assert size(made.content) == (600, 800)
    assert size(made.thumbnail) == (180, 240)


def test_what_can_be_seen_through_stays_so() -> None:
    content = picture(3000, 1000, b"png", QImage.Format.Format_ARGB32)
    assert look_at(fitted(content).content).media_type is MediaType.PNG


def test_the_same_file_becomes_the_same_picture_every_time() -> None:
    content = picture(3000, 1500)
    assert fitted(content) == fitted(content)


def test_a_kept_picture_can_be_shown() -> None:
    assert decoded(picture(300, 200)).width() == 300


def bomb(width: int, height: int) -> bytes:
    """A small file that would unfold to a picture of this size."""
    head = b"IHDR" + struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunks = struct.pack(">I", 13) + head + struct.pack(">I", zlib.crc32(head))
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunks
        + struct.pack(">I", 0)
        + b"IDAT"
        + struct.pack(">I", zlib.crc32(b"IDAT"))
    )


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"refrigerant,charge\nR-134a,500 g\n", "neither PNG nor JPEG nor WebP"),
        (bomb(20_000, 12_000), "240 megapixel"),
        (picture(800, 600, b"png")[:200], "cannot be opened"),
    ],
)
def test_what_is_no_picture_or_too_large_is_refused_in_words(content: bytes, said: str) -> None:
    with pytest.raises(UnfitPicture, match="Nothing was stored") as refused:
        fitted(content)
    assert said in str(refused.value)


def test_a_file_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "film.png"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(UnfitPicture, match="at most 40 MB"):
        read_picture(path)


def test_a_file_that_is_gone_is_refused_in_words(tmp_path: Path) -> None:
    with pytest.raises(UnfitPicture, match="cannot be read"):
        read_picture(tmp_path / "gone.png")
