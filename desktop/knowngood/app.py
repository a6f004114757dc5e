"""The window program: open the library, load the plugins, show the window."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer
from PySide6.QtWidgets import QApplication, QFileDialog, QMessageBox

from knowngood import paths
from knowngood.api import Group, Page
from knowngood.bench import Bench
from knowngood.crash import CrashHandler
from knowngood.crash_dialog import FaultDialog
from knowngood.drafts import Drafts
from knowngood.host import WindowHost, user_name
from knowngood.loader import Plugins, find_sources
from knowngood.loader.exits import Exits
from knowngood.plugin_faults import PluginFaults, in_a_task, news, watch_over
from knowngood.preload import Preload
from knowngood.scales import System
from knowngood.settings import SettingsFile
from knowngood.start import INTERRUPTED, LIBRARY_TROUBLE, library_target, plugin_gate, plugins_place
from knowngood.start_mark import StartMark
from knowngood.tasks import Tasks
from knowngood.units import Units
from knowngood.widgets import theme
from knowngood.window import MainWindow
from knowngood_refdata.errors import LibraryMissing, NotFound, StoreError
from knowngood_refdata.store import Store

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

    from knowngood.api import Host
    from knowngood.loader import Gate
    from knowngood.loader.watchdog import Watchdog
    from knowngood.settings import Settings
    from knowngood_refdata.records import Vehicle

FIRST_PAGE = "specs"
NAME_FIRST = "Enter your name on the Settings page: it stands behind every entry."


def main(argv: Sequence[str] | None = None) -> int:
    """Open the window; return the exit code."""
    parser = ArgumentParser(prog="knowngood-desktop", description="The window of Knowngood.")
    parser.add_argument("--library", metavar="PLACE", help="library file, or address of a database")
    parser.add_argument("--plugins-folder", type=Path, metavar="FOLDER", help="where your own plugins lie")
    parser.add_argument("--units", choices=[one.value for one in System], help="unit system to show")
    parser.add_argument("--safe", action="store_true", help="start with the program's own plugins only")
    parser.add_argument("--page", help="the page to begin with")
    parser.add_argument("--vehicle", type=int, help="number of the vehicle to take in hand")
    parser.add_argument("--session", type=int, help="number of the session to take in hand")
    parser.add_argument("--quit-after-start", action="store_true", help="close the window once it is shown")
    options = parser.parse_args(argv)
    return run(
        library=options.library,
        system=System(options.units) if options.units else None,
        plugins_folder=options.plugins_folder,
        safe=options.safe,
        page=options.page,
        vehicle_id=options.vehicle,
        session_id=options.session,
        quit_after_start=options.quit_after_start,
    )


def run(
    *,
    library: str | None = None,
    system: System | None = None,
    plugins_folder: Path | None = None,
    safe: bool = False,
    page: str | None = None,
    vehicle_id: int | None = None,
    session_id: int | None = None,
    quit_after_start: bool = False,
) -> int:
    """Run the window program until its window is closed; return the exit code."""
    app = QApplication.instance()
    if not isinstance(app, QApplication):
        app = QApplication(sys.argv[:1])
    app.setApplicationName("Knowngood")
    theme.apply(app)
    settings = SettingsFile(paths.settings_file())
    target = library_target(library, settings.now)
    # A place named just now, or none at all, may be a new one; a remembered one that is gone may be a drive
    # that is not there, and an empty library in its place would look like a loss.
    opened = _open_library(target, settings.now, create=library is not None or target is None)
    if opened is None:
        return LIBRARY_TROUBLE
    store, made = opened
    mark = StartMark(paths.start_mark_file())
    gate = plugin_gate(settings, store.place, safe=safe or _ask_for_safe_mode(mark))
    gate.starting = mark.loading
    mark.begin()
    beats = QObject()
    watchdog = watch_over(mark, beats)
    place = plugins_place(plugins_folder, settings.now)
    exits = Exits(watchdog.owners)
    exits.install()
    try:
        window = build_window(store, settings, place, system, gate=gate, watchdog=watchdog)
    except BaseException:
        exits.remove()
        raise
    host = window.host
    assert host is not None
    faults = FaultDialog(lambda: window)
    of_plugins = PluginFaults(host.plugins, window)
    of_plugins.told.connect(window.say)
    crash = CrashHandler(
        paths.crash_folder(),
        keep=host.drafts.save,
        show=faults.show,
        stop=lambda: app.exit(INTERRUPTED),
        told=of_plugins.take,
    )
    crash.install()
    preload = Preload(host.tasks)
    try:
        take_in_hand(host, vehicle_id, session_id)
        window.show_page(page or settings.now.last_page or FIRST_PAGE)
        if window.page_in_front()[1] is None:
            window.show_page(window.page_keys[0])
        window.show()
        preload.start()
        if made:
            window.say(f"A new library was made: {store.place}. {NAME_FIRST}", lasting=True)
        mark.done()
        host.plugins.started()
        told = *settings.messages, *gate.decisions.messages, *host.drafts.messages, crash.last_run
        for sentence in (*news(host.plugins), *told):
            if sentence:
                window.say(sentence)
        if quit_after_start:
            QTimer.singleShot(0, window.close)
        return app.exec()
    finally:
        preload.stop()
        exits.remove()
        crash.remove()
        beats.deleteLater()
        watchdog.close()
        mark.close()
        host.plugins.close()
        store.close()


def build_window(
    store: Store,
    settings: SettingsFile,
    plugins_folder: Path,
    system: System | None = None,
    *,
    gate: Gate | None = None,
    watchdog: Watchdog | None = None,
) -> MainWindow:
    """A window on an open library, with all pages on its rail and none made yet.

    Without a ``gate`` the user's own decisions about plugins hold.
    """
    window = MainWindow()
    gate = gate or plugin_gate(settings, store.place)
    plugins = Plugins(find_sources(plugins_folder), gate, watchdog=watchdog)
    plugins.kept_settings = settings.of_plugin

    def remember(chosen: System) -> None:
        settings.change(units=chosen)

    units = Units(system or settings.now.units, remember=remember)
    host = WindowHost(
        store=store,
        bench=Bench(find_vehicle=lambda number: _find_vehicle(store, number)),
        units=units,
        tasks=Tasks(parent=window),
        drafts=Drafts(paths.drafts_file(), parent=window),
        plugins=plugins,
        settings=settings,
        show=window.show_page,
        tell=window.say,
    )
    host.drafts.problem.connect(window.say)
    plugins.use_library(store, in_a_task(host.tasks, tell=window.say))
    own = _own_pages(host, plugins_folder)
    window.attach(host, [*plugins.pages(), *own])
    plugins.on_change(lambda: window.set_pages([*plugins.pages(), *own]))
    return window


def take_in_hand(host: WindowHost, vehicle_id: int | None, session_id: int | None) -> None:
    """Take a vehicle and a session in hand; numbers that the library does not hold are told, not fatal."""
    from knowngood_refdata.queries import sessions, vehicles

    try:
        if vehicle_id is not None:
            host.bench.take_vehicle(vehicles.vehicle(host.store, vehicle_id))
        if session_id is not None:
            host.bench.take_session(sessions.info(host.store, session_id))
    except NotFound as error:
        host.say(str(error))


def _find_vehicle(store: Store, number: int) -> Vehicle:
    from knowngood_refdata.queries import vehicles

    return vehicles.vehicle(store, number)


def _own_pages(host: WindowHost, plugins_folder: Path) -> list[Page]:
    def plugins_page(_host: Host) -> QWidget:
        from knowngood.pages.plugins_page import PluginsPage

        page = PluginsPage(host.plugins, plugins_folder, host.store)
        host.plugins.on_change(page.renew)
        return page

    def settings_page(_host: Host) -> QWidget:
        from knowngood.pages.settings_page import SettingsPage

        page = SettingsPage(host.settings, host.units, host.store.place, host.plugins)
        page.renamed.connect(host.rename)
        return page

    return [
        Page("plugins", "Plugins", Group.SHOP, 90, plugins_page),
        Page("settings", "Settings", Group.SHOP, 91, settings_page),
    ]


def _open_library(target: str | None, settings: Settings, *, create: bool) -> tuple[Store, bool] | None:
    """Open the library, asking what to do as long as it cannot be used.

    Returns the store and whether the library was made just now; None to give up.
    """
    while True:
        try:
            return _opened(target, settings, create=create)
        except StoreError as error:
            choice = _ask(error, target, create=create)
        if choice is None:
            return None
        target, create = choice


def _opened(target: str | None, settings: Settings, *, create: bool) -> tuple[Store, bool]:
    user = user_name(settings)
    try:
        return Store.open(target, user=user, create=False), False
    except LibraryMissing:
        if not create:
            raise
    return Store.open(target, user=user), True


def _ask_for_safe_mode(mark: StartMark) -> bool:
    """Ask whether to leave out the plugins of others when the last run did not end as it should."""
    if mark.last is None:
        return False
    box = QMessageBox(QMessageBox.Icon.Question, "Knowngood", "Start with the program's own plugins only?")
    box.setInformativeText(f"{mark.last} In safe mode plugins of others are listed but do not run.")
    safe = box.addButton("Safe mode", QMessageBox.ButtonRole.AcceptRole)
    usual = box.addButton("Start as usual", QMessageBox.ButtonRole.RejectRole)
    box.setEscapeButton(usual)
    box.exec()
    return box.clickedButton() is safe


def _ask(error: StoreError, target: str | None, *, create: bool) -> tuple[str | None, bool] | None:
    """Say why the library cannot be opened.

    Returns the place to try next and whether a new library may be made there; None to quit.
    """
    box = QMessageBox(QMessageBox.Icon.Warning, "Knowngood", "The library cannot be opened.")
    box.setInformativeText(str(error))
    accept = QMessageBox.ButtonRole.AcceptRole
    another = box.addButton("Open another library...", accept)
    anew = box.addButton("Make a new one there", accept) if isinstance(error, LibraryMissing) else None
    again = box.addButton("Try again", accept)
    leave = box.addButton("Quit", QMessageBox.ButtonRole.RejectRole)
    box.setEscapeButton(leave)
    box.exec()
    clicked = box.clickedButton()
    if clicked is again or (anew is not None and clicked is anew):
        return target, create or clicked is anew
    if clicked is not another:
        return None
    chosen, _ = QFileDialog.getSaveFileName(
        None,
        "Open or make a library",
        str(paths.data_folder() / "library.sqlite"),
        "Libraries (*.sqlite);;All files (*)",
        options=QFileDialog.Option.DontConfirmOverwrite,
    )
    return (chosen, True) if chosen else None


if __name__ == "__main__":
    sys.exit(main())
