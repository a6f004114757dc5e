"""What a picture file is, told from its first bytes; checked against files that Qt writes."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QImage, QImageWriter

from knowngood_refdata.pictures import MediaType, PictureFacts, UnfitPicture, look_at


def encoded(width: int, height: int, form: str, quality: int = 80) -> bytes:
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(0x336699)
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QImageWriter(buffer, form.encode())
    writer.setQuality(quality)
    assert writer.write(image), writer.errorString()
    return bytes(buffer.data().data())


@pytest.mark.parametrize(("width", "height"), [(1, 1), (640, 480), (255, 256), (1, 4097)])
@pytest.mark.parametrize(
    ("form", "quality", "media_type"),
    [
        ("PNG", 80, MediaType.PNG),
        ("JPEG", 80, MediaType.JPEG),
        ("WEBP", 80, MediaType.WEBP),
        ("WEBP", 100, MediaType.WEBP),
    ],
)
def test_kind_and_size_are_those_of_the_file_that_was_written(
    width: int, height: int, form: str, quality: int, media_type: MediaType
) -> None:
    assert look_at(encoded(width, height, form, quality)) == PictureFacts(media_type, width, height)


def test_the_size_of_an_extended_webp_is_that_of_its_canvas() -> None:
    # RFC 9649, 2.7: canvas width and height less one, 24 bits each.
    body = b"VP8X" + struct.pack("<I", 10) + b"\x10\0\0\0" + (4_031).to_bytes(3, "little") + b"\xcf\x0b\0"
    file = b"RIFF" + struct.pack("<I", len(body) + 4) + b"WEBP" + body
    assert look_at(file) == PictureFacts(MediaType.WEBP, 4_032, 3_024)


def png_head(width: int, height: int) -> bytes:
    head = struct.pack(">I4sIIBBBBB", 13, b"IHDR", width, height, 8, 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + head + b"\0" * 4


def test_a_picture_of_200_megapixel_is_read_and_one_more_line_is_refused_in_words() -> None:
    assert look_at(png_head(20_000, 10_000)).width == 20_000
    with pytest.raises(UnfitPicture, match=r"20,000 x 10,001 pixels, 200 megapixel.*Save it smaller"):
        look_at(png_head(20_000, 10_001))


def test_a_file_of_more_than_40_megabytes_is_refused_in_words() -> None:
    assert look_at(png_head(9, 9).ljust(40_000_000, b"\0")).height == 9
    with pytest.raises(UnfitPicture, match="41 MB; at most 40 MB"):
        look_at(png_head(9, 9).ljust(41_000_000, b"\0"))


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"hello",
        b"MZ\x90\0",
        b"GIF89a\1\0\1\0",
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
        b"%PDF-1.7",
    ],
)
def test_what_is_no_picture_is_refused_in_words(content: bytes) -> None:
    with pytest.raises(UnfitPicture, match="neither PNG nor JPEG nor WebP"):
        look_at(content)


@pytest.mark.parametrize("form", ["PNG", "JPEG", "WEBP"])
def test_a_picture_cut_short_in_its_header_is_refused_in_words(form: str) -> None:
    whole = encoded(64, 48, form)
    for length in range(12, 25):
        with pytest.raises(UnfitPicture, match=r"damaged|neither"):
            look_at(whole[:length])
    with pytest.raises(UnfitPicture, match="damaged"):
        look_at(png_head(0, 5))


@given(st.sampled_from([b"\x89PNG\r\n\x1a\n", b"\xff\xd8\xff", b"RIFF\0\0\0\0WEBP"]), st.binary(max_size=80))
def test_whatever_follows_a_signature_is_read_or_refused_in_words(signature: bytes, rest: bytes) -> None:
    pixels, said = 0, ""
    try:
        facts = look_at(signature + rest)
        pixels = facts.width * facts.height
    except UnfitPicture as error:
        said = str(error)
    assert "Nothing was stored" in said or 0 < pixels <= 200_000_000
