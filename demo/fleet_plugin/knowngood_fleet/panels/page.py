"""The page of the fleet: what to do first while it is empty, and its three sections once it is not."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

from knowngood.widgets.first_step_page import FirstStepPage
from knowngood.widgets.sectioned_page import SectionedPage, SectionEntry
from knowngood_fleet import library
from knowngood_fleet.gather import Fleet, Gatherer
from knowngood_fleet.words import FOOT, NO_CARS, NO_UNITS

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import date

    from PySide6.QtGui import QShowEvent
    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host, Progress

ENTRIES = (
    SectionEntry("fleet", "Whole fleet", "fleet_section", "FleetSection"),
    SectionEntry("depot", "Depot", "depot_section", "DepotSection"),
    SectionEntry("unit", "Unit", "unit_section", "UnitSection"),
)


class FleetPage(FirstStepPage):
    """Looks at the fleet off the GUI thread whenever the page is shown or something was entered."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__("Looking at the fleet ...", parent=parent)
        self._host = host
        self._gatherer = Gatherer(host.store)
        self._fleet: Fleet | None = None
        self._has_cars = False
        self._again = self._running = False
        self.first_step.clicked.connect(self._begin)
        self.sections = FleetSections(host, self)
        self.hold(self.sections)

    @property
    def compared(self) -> bool:
        """Whether the readings of all units were compared, and nothing is being looked at."""
        return self._gatherer.began and not self._running

    @property
    def fleet(self) -> Fleet | None:
        """The fleet that is shown, None before it was looked at."""
        return self._fleet

    def showEvent(self, event: QShowEvent) -> None:  # noqa: N802 - Qt's name
        """Look for what other pages have changed."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Look at the fleet anew; a look that is asked for during another follows it."""
        if self._running:
            self._again = True
            return
        today = datetime.now(UTC).astimezone().date()
        if self._gatherer.began:
            self._compare(today)
        else:
            # What was entered is shown at once; comparing the readings of all units takes longer.
            self._run(lambda _progress: self._gatherer.records(today), lambda: self._compare(today))

    def _compare(self, today: date) -> None:
        self._run(lambda progress: self._gatherer.fleet(today, progress), self._ended)

    def _run(self, gather: Callable[[Progress], Fleet], then: Callable[[], None]) -> None:
        self._running = True
        store = self._host.store

        def look(progress: Progress) -> tuple[Fleet, bool]:
            fleet = gather(progress)
            return fleet, bool(fleet.units) or bool(library.cars(store))

        def done(found: tuple[Fleet, bool]) -> None:
            self._take(found)
            then()

        def failed(error: BaseException) -> None:
            self.show_first_step(f"The fleet cannot be shown. {error}")

        task = self._host.tasks.run("Looking at the fleet", look, done=done, failed=failed)
        task.ended.connect(self._stopped)

    def show_section(self, key: str) -> None:
        """Bring a section to the front."""
        self.sections.show_section(key)

    def _stopped(self) -> None:
        # Also after a cancelled look, of which nothing else is heard.
        self._running = False

    def _ended(self) -> None:
        if self._again:
            self._again = False
            self.refresh()

    def _take(self, found: tuple[Fleet, bool]) -> None:
        self._fleet, self._has_cars = found
        if self._fleet.units:
            self.sections.take_fleet(self._fleet)
            self.show_content()
        elif self._has_cars:
            self.show_first_step(NO_UNITS, "Add units...")
        else:
            self.show_first_step(NO_CARS, "Open Vehicle specs")

    def _begin(self) -> None:
        if self._has_cars:
            self.add_units()
        else:
            self._host.show_page("specs")

    def add_units(self) -> None:
        """Ask which cars become units of the fleet."""
        from knowngood_fleet.panels.add_units_dialog import AddUnitsDialog

        AddUnitsDialog.ask(self._host, self._fleet, self, self.refresh)


class FleetSections(SectionedPage):
    """The sections of a fleet that has units; a depot and a unit are chosen for all of them."""

    def __init__(self, host: Host, page: FleetPage) -> None:
        super().__init__(host, "knowngood_fleet.panels", ENTRIES, title="Fleet", foot=FOOT)
        self.page = page
        self.fleet: Fleet | None = None
        self.depot = ""
        self.unit_id: int | None = None

    def take_fleet(self, fleet: Fleet) -> None:
        """Show another look at the fleet in the section in front."""
        self.fleet = fleet
        if self.front:
            self.refresh()
        else:
            self.show_section("fleet")

    def open_depot(self, depot: str) -> None:
        """Bring a depot to the front."""
        self.depot = depot
        self.show_section("depot")

    def open_unit(self, unit_id: int) -> None:
        """Bring a unit to the front."""
        self.unit_id = unit_id
        self.show_section("unit")

    def take_in(self, section: Any) -> None:
        """Tell a new section whose part it is."""
        section.sections = self

    def refresh_section(self, section: Any) -> None:
        """Show the fleet in a section."""
        if self.fleet is not None:
            section.show_fleet(self.fleet)

    def section_html(self, section: Any) -> str:
        """The section as the body of a sheet."""
        return str(section.html())
