"""The PDF: one sheet, readable, replaced whole, made without a window."""

from __future__ import annotations

import re
import subprocess
import sys
from typing import TYPE_CHECKING

import pytest
from PySide6.QtCore import QSizeF
from PySide6.QtGui import QColor, QImage

from knowngood.reporting.pdf import ReportNotWritten, _fitted, write_pdf
from knowngood.tasks import Tasks

if TYPE_CHECKING:
    from pathlib import Path

    from pytestqt.qtbot import QtBot

PLOT = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="600" height="100" viewBox="0 0 600 100">'
    '<rect width="600" height="100" fill="#ff0000"/></svg>'
)
LINE = "<p>low side 2.1 bar g, inside</p>"
A4_PX = QSizeF(703.0, 1032.0)


def sheets_in(pdf: bytes) -> int:
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


def width_mm(pdf: bytes) -> float:
    box = re.search(rb"/MediaBox\s*\[\s*0\s+0\s+([\d.]+)", pdf)
    assert box is not None
    return float(box[1]) / 72 * 25.4


@pytest.mark.usefixtures("qapp")
class TestPdf:
    def test_a_short_page_takes_one_sheet_of_the_chosen_size(self, tmp_path: Path) -> None:
        assert write_pdf(LINE, tmp_path / "a4.pdf", title="t") == 1
        write_pdf(LINE, tmp_path / "letter.pdf", title="t", letter=True)
        a4, letter = ((tmp_path / name).read_bytes() for name in ("a4.pdf", "letter.pdf"))
        assert a4.startswith(b"%PDF")
        assert sheets_in(a4) == 1
        # ISO 216: A4 is 210 mm wide; ANSI/ASME Y14.1: Letter is 8.5 in (215.9 mm) wide (from memory).
        assert width_mm(a4) == pytest.approx(210.0, abs=0.5)
        assert width_mm(letter) == pytest.approx(215.9, abs=0.5)

    def test_a_page_a_little_too_long_is_made_smaller_until_it_fits(self, tmp_path: Path) -> None:
        document, scale = _fitted(LINE * 50, A4_PX)
        assert 0.6 <= scale < 1.0
        assert document.size().height() * scale <= A4_PX.height()
        assert write_pdf(LINE * 50, tmp_path / "r.pdf", title="t") == 1

    def test_a_page_far_too_long_runs_on_to_further_sheets(self, tmp_path: Path) -> None:
        sheets = write_pdf(LINE * 400, tmp_path / "r.pdf", title="t")
        assert sheets > 1
        assert sheets_in((tmp_path / "r.pdf").read_bytes()) == sheets

    def test_an_svg_becomes_a_picture_of_the_same_colours(self) -> None:
        document, _ = _fitted(PLOT, A4_PX)
        image = document.resource(2, "picture-0")
        assert isinstance(image, QImage)
        assert image.width() >= 600 * 200 / 96  # 200 dots per inch or more
        assert image.pixelColor(image.rect().center()) == QColor("#ff0000")

    def test_a_broken_picture_is_said_and_the_rest_is_printed(self) -> None:
        document, _ = _fitted("<svg width='3'><broken</svg>" + LINE, A4_PX)
        assert "a picture that cannot be drawn" in document.toPlainText()
        assert "low side" in document.toPlainText()

    def test_a_place_that_cannot_be_written_is_said_in_words(self, tmp_path: Path) -> None:
        with pytest.raises(ReportNotWritten, match="choose another place"):
            write_pdf(LINE, tmp_path / "no such folder" / "r.pdf", title="t")

    def test_a_report_can_be_made_off_the_gui_thread(self, qtbot: QtBot, tmp_path: Path) -> None:
        tasks = Tasks()
        made: list[int] = []
        path = tmp_path / "r.pdf"
        tasks.run("report", lambda _progress: write_pdf(PLOT + LINE, path, title="t"), done=made.append)
        qtbot.waitUntil(lambda: bool(made))
        assert made == [1]
        assert b"/Image" in path.read_bytes()
        assert tasks.close()

    def test_an_older_report_is_replaced_whole(self, tmp_path: Path) -> None:
        path = tmp_path / "r.pdf"
        path.write_bytes(b"older")
        write_pdf(LINE, path, title="t")
        assert path.read_bytes().startswith(b"%PDF")
        assert list(tmp_path.iterdir()) == [path]


def test_a_program_without_any_window_or_screen_can_print(tmp_path: Path) -> None:
    program = (
        "import sys; from pathlib import Path; from knowngood.reporting.pdf import write_pdf; "
        f"print(write_pdf({LINE!r}, Path(sys.argv[1]), title='t'))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program, str(tmp_path / "r.pdf")],
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "1\n", "")
