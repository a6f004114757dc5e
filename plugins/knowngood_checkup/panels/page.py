"""The check-up page: ranges, explanations, as found against as left, and the way into the book."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import Signal

from knowngood.widgets.first_step_page import FirstStepPage
from knowngood.widgets.sectioned_page import SectionedPage, SectionEntry
from knowngood_checkup.gather import SessionCheck, check_session
from knowngood_checkup.paper import section_html
from knowngood_checkup.words import CAUTION

if TYPE_CHECKING:
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host

NO_SESSION = (
    "No session in hand. Take a vehicle in hand on the Vehicle specs page, then import a log or choose a "
    "session on the Session plotter page: its steady windows are compared here with known-good readings."
)
NO_VEHICLE = (
    "This session belongs to no vehicle, so there is nothing to compare it with. Name its vehicle on the "
    "Session plotter page."
)
NO_WINDOW = (
    "This session holds no steady window, so there is nothing to compare. Let the system run until pressures "
    "and line temperatures stand still for half a minute, and record again."
)
_FIRST_STEP = "Open the session plotter"
ENTRIES = (
    SectionEntry("ranges", "Against the book", "ranges_section", "RangesSection"),
    SectionEntry("explanations", "Explanations", "explanations_section", "ExplanationsSection"),
    SectionEntry("left", "As found, as left", "left_section", "LeftSection"),
    SectionEntry("book", "Into the book", "book_section", "BookSection"),
)


class CheckupPage(FirstStepPage):
    """Follows the session in hand, its findings and the unit system."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(NO_SESSION, _FIRST_STEP, parent)
        self._host = host
        self._check: SessionCheck | None = None
        self.first_step.clicked.connect(lambda: host.show_page("sessions"))
        self.sections = CheckupSections(host)
        self.sections.stale.connect(self.refresh)
        self.hold(self.sections)
        host.bench.session_changed.connect(self.refresh)
        host.bench.findings_changed.connect(lambda _number: self.refresh())
        self.refresh()

    @property
    def check(self) -> SessionCheck | None:
        """The check-up that is shown."""
        return self._check

    def refresh(self) -> None:
        """Compare the session in hand anew."""
        session = self._host.bench.session
        if session is None:
            self._take(None)
            return
        number = session.id

        def work(_progress: object) -> SessionCheck:
            return check_session(self._host.store, number, self._host)

        def done(check: SessionCheck) -> None:
            still = self._host.bench.session
            # The session may have been put down while it was compared.
            if still is not None and still.id == number:
                self._take(check)

        self._host.tasks.run("Comparing with known-good readings", work, done=done)

    def _take(self, check: SessionCheck | None) -> None:
        self._check = check
        said = _why_empty(check)
        if check is None or said:
            self.show_first_step(said, _FIRST_STEP)
            return
        self.sections.take_check(check)
        self.show_content()


def _why_empty(check: SessionCheck | None) -> str:
    if check is None:
        return NO_SESSION
    if check.vehicle is None:
        return NO_VEHICLE
    return "" if check.findings.windows else NO_WINDOW


class CheckupSections(SectionedPage):
    """The sections of a check-up that holds something.

    Attributes
    ----------
    stale
        Something was answered or decided: the check-up has to be made anew.
    """

    stale = Signal()

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(
            host, "knowngood_checkup.panels", ENTRIES, title="Check-up", foot=CAUTION, parent=parent
        )
        self._check: SessionCheck | None = None

    def take_check(self, check: SessionCheck) -> None:
        """Show another check-up, in the section that is in front."""
        self._check = check
        if self.front:
            self.refresh()
        else:
            self.show_section("ranges")

    def take_in(self, section: Any) -> None:
        """Listen to what is answered or decided in a section."""
        if hasattr(section, "stale"):
            section.stale.connect(self.stale)
        if hasattr(section, "offered"):
            section.offered.connect(lambda: self.show_section("book"))

    def refresh_section(self, section: Any) -> None:
        """Show the check-up in a section."""
        if self._check is not None:
            section.show_check(self._check)

    def section_html(self, section: Any) -> str:  # noqa: ARG002 - the one in front is asked for
        """The section in front as the body of a sheet."""
        return "" if self._check is None else section_html(self.front, self._check, self.host.units.system)
