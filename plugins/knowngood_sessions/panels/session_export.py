"""What the plots show as a picture or as a table, in a file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QFileDialog

from knowngood_sessions.channel_layout import shown_keys

if TYPE_CHECKING:
    from knowngood.api import Host, Progress
    from knowngood_sessions.panels.session_view import SessionView

_PICTURES = "PNG picture (*.png);;SVG drawing (*.svg)"
_TABLES = "Tables (*.csv)"


class SessionExport(QObject):
    """Asks for a place and writes there.

    Attributes
    ----------
    told
        Signal with words: what was written, or why not.
    refused
        Signal with words, when it could not be written.
    """

    told = Signal(str)
    refused = Signal(str)

    def __init__(self, host: Host, view: SessionView) -> None:
        super().__init__(view)
        self._host, self._view = host, view

    def ask_picture(self) -> None:
        """Ask where the picture is to be written."""
        name, kind = QFileDialog.getSaveFileName(
            self._view.window(), "Picture of the plots", self._suggested("png"), _PICTURES
        )
        if name:
            self.write_picture(_with_ending(name, "svg" if "svg" in kind else "png"))

    def ask_table(self) -> None:
        """Ask where the table is to be written."""
        name, _ = QFileDialog.getSaveFileName(
            self._view.window(), "Samples as a table", self._suggested("csv"), _TABLES
        )
        if name:
            self.write_table(_with_ending(name, "csv"))

    def write_picture(self, path: Path) -> None:
        """Write the plots as they are shown."""
        if self._view.plot.save_picture(path):
            self.told.emit(f"The picture was written to {path}.")
        else:
            self.refused.emit(f"The picture cannot be written to {path}. Choose another place.")

    def write_table(self, path: Path) -> None:
        """Write the samples in view of all channels that are drawn, off the GUI thread."""
        view, session = self._view, self._view.session
        if session is None:
            return
        wanted = set(shown_keys(view.layout_now))
        chosen = [one for one in session.traces if one.key in wanted]
        span, system = view.shown_span(), self._host.units.system
        comma = str(self._host.setting("sessions", "csv_numbers")).startswith("1234,5")

        def work(progress: Progress) -> int:
            # Nothing else on the page needs polars, which takes a tenth of a second to load.
            from knowngood_sessions.csv_export import write_csv

            def proceed(part: float) -> None:
                progress(part, "writing")

            return write_csv(path, session, chosen, span, system, proceed, decimal_comma=comma)

        self._host.tasks.run(
            f"Writing {path.name}",
            work,
            done=lambda count: self.told.emit(f"{count:,} samples were written to {path}."),
            failed=lambda error: self._fail(error, path),
        )

    def _suggested(self, ending: str) -> str:
        session = self._view.session
        title = "session" if session is None else session.info.title
        return f"{''.join(one if one.isalnum() or one in ' -_.' else '_' for one in title)}.{ending}"

    def _fail(self, error: BaseException, path: Path) -> None:
        if not isinstance(error, OSError):
            raise error
        reason = error.strerror or str(error)
        self.refused.emit(f"The table cannot be written to {path}: {reason}. Choose another place.")


def _with_ending(name: str, ending: str) -> Path:
    path = Path(name)
    return path if path.suffix else path.with_suffix(f".{ending}")
