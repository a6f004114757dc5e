"""The report's page as PDF, on one sheet where it fits."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from PySide6.QtCore import QBuffer, QByteArray, QMarginsF, QRectF, QSizeF, QUrl
from PySide6.QtGui import (
    QAbstractTextDocumentLayout,
    QFont,
    QGuiApplication,
    QImage,
    QPagedPaintDevice,
    QPageLayout,
    QPageSize,
    QPainter,
    QPalette,
    QPdfWriter,
    QTextDocument,
)
from PySide6.QtSvg import QSvgRenderer

from knowngood.files import replace_bytes

if TYPE_CHECKING:
    from pathlib import Path

_LAYOUT_DPI = 96.0
_IMAGE_DPI = 300.0
_MARGIN_MM = 12.0
_PDF_DPI = 600
_SMALLEST_PERCENT = 60
_SCALE_OF_SEVERAL = 0.8
_WIDE = re.compile(r'width="(?P<width>[5-9]\d\d|\d{4,})" height="(?P<height>\d+)"')
# The layout gives headings a size of its own that a style sheet cannot change.
_HEADING = re.compile(r"<(/?)h([123])>")
_SVG = re.compile(r"<svg\b.*?</svg>", re.DOTALL | re.IGNORECASE)


class ReportNotWritten(OSError):  # noqa: N818 - reads as what happened
    """The PDF cannot be written; a file of that name from before is untouched."""


def write_pdf(page: str, path: Path, *, title: str, letter: bool = False) -> int:
    """Lay out an HTML page and write it as PDF; return the number of sheets.

    A page too long for one sheet is made smaller, down to 60 %, before it runs on to a second one.
    Needs no window; a program without any gets the part of Qt that lays out text.

    Parameters
    ----------
    page
        HTML with SVG pictures inside; they are drawn at 300 dots per inch.
    letter
        US Letter instead of A4.

    Raises
    ------
    ReportNotWritten
        When the file cannot be written.
    """
    application = QGuiApplication.instance() or _application()
    size = QPageSize.PageSizeId.Letter if letter else QPageSize.PageSizeId.A4
    content, sheets = _pdf(page, title, size)
    del application
    try:
        replace_bytes(path, content, make_folder=False)
    except OSError as error:
        raise ReportNotWritten(
            f"The page cannot be written to {path}: {error.strerror}. Nothing was changed; "
            "choose another place."
        ) from error
    return sheets


def _application() -> QGuiApplication:
    return QGuiApplication(["knowngood", "-platform", "offscreen"])


def _pdf(page: str, title: str, size: QPageSize.PageSizeId) -> tuple[bytes, int]:
    buffer = QBuffer()
    buffer.open(QBuffer.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(buffer)
    writer.setTitle(title)
    writer.setCreator("Knowngood")
    writer.setResolution(_PDF_DPI)
    margins = QMarginsF(_MARGIN_MM, _MARGIN_MM, _MARGIN_MM, _MARGIN_MM)
    portrait, millimetres = QPageLayout.Orientation.Portrait, QPageLayout.Unit.Millimeter
    writer.setPageLayout(QPageLayout(QPageSize(size), portrait, margins, millimetres))
    sheets = paint_page(page, writer)
    return bytes(buffer.data().data()), sheets


def paint_page(page: str, device: QPagedPaintDevice) -> int:
    """Lay out an HTML page on a PDF file or a printer; return the number of sheets."""
    dpi = float(device.logicalDpiY())
    sheet_px = QSizeF(device.width(), device.height()) * (_LAYOUT_DPI / dpi)
    document, scale = _fitted(page, sheet_px)
    painter = QPainter(device)
    painter.setRenderHint(QPainter.RenderHint.LosslessImageRendering)
    sheets = _paint(document, painter, device, scale * dpi / _LAYOUT_DPI)
    painter.end()
    return sheets


def _fitted(page: str, sheet_px: QSizeF) -> tuple[QTextDocument, float]:
    """The page laid out at the largest scale at which it fits one sheet, else on several."""
    html, pictures = _with_pictures(_HEADING.sub(_as_paragraph, page))
    for percent in range(100, _SMALLEST_PERCENT - 1, -2):
        scale = percent / 100
        document = _document(html, pictures, sheet_px.width() / scale)
        fits = document.size().height() * scale <= sheet_px.height()
        if fits:
            break
    if not fits:
        scale = _SCALE_OF_SEVERAL
        document = _document(html, pictures, sheet_px.width() / scale)
        document.setPageSize(sheet_px / scale)
    return document, scale


def _as_paragraph(match: re.Match[str]) -> str:
    return "</p>" if match[1] else f'<p class="h{match[2]}">'


def _document(html: str, pictures: tuple[QImage, ...], width_px: float) -> QTextDocument:
    document = QTextDocument()
    # A picture's dots per metre tell the layout how large a point is, whatever screen there is.
    canvas = QImage(1, 1, QImage.Format.Format_ARGB32)
    canvas.setDotsPerMeterX(round(_LAYOUT_DPI / 0.0254))
    canvas.setDotsPerMeterY(round(_LAYOUT_DPI / 0.0254))
    document.documentLayout().setPaintDevice(canvas)
    document.setProperty("canvas", canvas)
    document.setDocumentMargin(0.0)
    font = QFont(QGuiApplication.font())
    font.setPointSizeF(9.0)
    document.setDefaultFont(font)
    for number, picture in enumerate(pictures):
        document.addResource(QTextDocument.ResourceType.ImageResource, QUrl(f"picture-{number}"), picture)
    # A wide picture is a plot: it takes the whole width, whatever the scale.
    document.setHtml(_WIDE.sub(lambda match: _stretched(match, width_px), html))
    document.setTextWidth(width_px)
    return document


def _stretched(match: re.Match[str], width_px: float) -> str:
    width, height = float(match["width"]), float(match["height"])
    return f'width="{width_px:.0f}" height="{height * width_px / width:.0f}"'


def _with_pictures(page: str) -> tuple[str, tuple[QImage, ...]]:
    """Put drawn pictures in the place of SVG, which the layout does not know."""
    pictures: list[QImage] = []

    def picture(match: re.Match[str]) -> str:
        renderer = QSvgRenderer(QByteArray(match[0].encode()))
        if not renderer.isValid():
            return "(a picture that cannot be drawn)"
        size = renderer.defaultSize()
        pictures.append(_drawn(renderer))
        return f'<img src="picture-{len(pictures) - 1}" width="{size.width()}" height="{size.height()}">'

    return _SVG.sub(picture, page), tuple(pictures)


def _drawn(renderer: QSvgRenderer) -> QImage:
    size = renderer.defaultSize() * (_IMAGE_DPI / _LAYOUT_DPI)
    image = QImage(size, QImage.Format.Format_ARGB32)
    image.fill(0)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    renderer.render(painter, QRectF(image.rect()))
    painter.end()
    return image


def _paint(document: QTextDocument, painter: QPainter, device: QPagedPaintDevice, zoom: float) -> int:
    painter.scale(zoom, zoom)
    sheets = max(document.pageCount(), 1)
    height = document.pageSize().height() if sheets > 1 else document.size().height()
    context = QAbstractTextDocumentLayout.PaintContext()
    palette = QPalette(context.palette)
    palette.setColor(QPalette.ColorRole.Text, "#1d2327")
    context.palette = palette
    for sheet in range(sheets):
        if sheet:
            device.newPage()
        painter.save()
        painter.translate(0.0, -sheet * height)
        context.clip = QRectF(0.0, sheet * height, document.size().width(), height)
        painter.setClipRect(context.clip)
        document.documentLayout().draw(painter, context)
        painter.restore()
    return sheets
