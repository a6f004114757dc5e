"""What a picture file is, told from its first bytes without decoding it.

Only the headers are read, so a file that would unfold to gigabytes is refused before anything is unfolded.

Sources: PNG, ISO/IEC 15948:2004, 5.2 signature and 11.2.2 IHDR; JPEG, ITU-T T.81 (1992), annex B.1 and B.2.2
frame header; WebP, RFC 9649 (2024), sections 2.4 to 2.7. From memory.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from knowngood_refdata.errors import UnfitValue

MOST_PIXELS = 200_000_000
MOST_BYTES = 40_000_000

_PNG = b"\x89PNG\r\n\x1a\n"
_JPEG = b"\xff\xd8\xff"
# Start-of-frame markers; C4, C8 and CC in their midst are tables.
_FRAMES = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_ALONE = frozenset({0x01, *range(0xD0, 0xD8)})
_END, _SCAN = 0xD9, 0xDA


class MediaType(StrEnum):
    """The kinds of picture that are kept."""

    PNG = "image/png"
    JPEG = "image/jpeg"
    WEBP = "image/webp"


class UnfitPicture(UnfitValue):
    """A file that is no picture, or too large a one; the text says so and what to do."""


@dataclass(frozen=True, slots=True)
class PictureFacts:
    """What the header of a picture says; width and height in pixels."""

    media_type: MediaType
    width: int
    height: int


def look_at(content: bytes) -> PictureFacts:
    """The kind and size of a picture.

    Raises
    ------
    UnfitPicture
        When the file is no PNG, JPEG or WebP, is cut short in its header, has more than 40 MB or more than
        200 megapixel.
    """
    if len(content) > MOST_BYTES:
        raise UnfitPicture(
            f"The picture has {len(content) / 1e6:,.0f} MB; at most {MOST_BYTES / 1e6:.0f} MB are kept. "
            "Nothing was stored. Save it smaller and add it again."
        )
    facts = _facts(content)
    if facts.width < 1 or facts.height < 1:
        raise _cut_short()
    if facts.width * facts.height > MOST_PIXELS:
        raise UnfitPicture(
            f"The picture has {facts.width:,} x {facts.height:,} pixels, "
            f"{facts.width * facts.height / 1e6:,.0f} megapixel; at most {MOST_PIXELS / 1e6:.0f} are read. "
            "Nothing was stored. Save it smaller and add it again."
        )
    return facts


def _facts(content: bytes) -> PictureFacts:
    if content.startswith(_PNG):
        return _png(content)
    if content.startswith(_JPEG):
        return _jpeg(content)
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return _webp(content)
    raise UnfitPicture(
        "The file is no picture that can be kept: it is neither PNG nor JPEG nor WebP. Nothing was stored. "
        "Save the picture as one of these and add it again."
    )


def _png(content: bytes) -> PictureFacts:
    if content[12:16] != b"IHDR" or len(content) < 33:
        raise _cut_short()
    return PictureFacts(MediaType.PNG, _big(content[16:20]), _big(content[20:24]))


def _jpeg(content: bytes) -> PictureFacts:
    at = 2
    while at + 9 <= len(content):
        if content[at] != 0xFF:
            raise _cut_short()
        marker = content[at + 1]
        if marker == 0xFF:  # a fill byte
            at += 1
        elif marker in _ALONE:
            at += 2
        elif marker in _FRAMES:
            height, width = _big(content[at + 5 : at + 7]), _big(content[at + 7 : at + 9])
            return PictureFacts(MediaType.JPEG, width, height)
        elif marker in (_END, _SCAN):
            break
        else:
            at += 2 + max(2, _big(content[at + 2 : at + 4]))
    raise _cut_short()


def _webp(content: bytes) -> PictureFacts:
    form = content[12:16]
    if len(content) < 30:
        raise _cut_short()
    if form == b"VP8X":
        return PictureFacts(MediaType.WEBP, _little(content[24:27]) + 1, _little(content[27:30]) + 1)
    if form == b"VP8L" and content[20] == 0x2F:
        bits = _little(content[21:25])
        return PictureFacts(MediaType.WEBP, (bits & 0x3FFF) + 1, (bits >> 14 & 0x3FFF) + 1)
    if form == b"VP8 " and content[23:26] == b"\x9d\x01\x2a":
        return PictureFacts(
            MediaType.WEBP, _little(content[26:28]) & 0x3FFF, _little(content[28:30]) & 0x3FFF
        )
    raise _cut_short()


def _cut_short() -> UnfitPicture:
    return UnfitPicture(
        "The picture file is damaged or cut short at its beginning. Nothing was stored. "
        "Copy it from the camera again."
    )


def _big(data: bytes) -> int:
    return int.from_bytes(data, "big")


def _little(data: bytes) -> int:
    return int.from_bytes(data, "little")
