"""The files of a new plugin. ``@name@``, ``@title@`` and ``@api@`` are filled in."""

from __future__ import annotations

FILES = {
    "pyproject.toml": """[build-system]
requires = ["hatchling"]
build-backend = "hatchling.build"

[project]
name = "knowngood-@name@"
version = "0.1.0"
description = "@title@"
requires-python = ">=3.11"

[project.entry-points."knowngood.plugins"]
@name@ = "knowngood_@name@.plugin"

[tool.hatch.build.targets.wheel]
packages = ["knowngood_@name@"]

[tool]
knowngood-api = @api@

[tool.pytest.ini_options]
pythonpath = ["."]
# No cache in this folder: the program would take it for a change of the plugin and ask again.
addopts = ["-p", "knowngood.testing", "-p", "no:cacheprovider"]
""",
    "README.md": """# @title@

How many vehicles of each make does the library hold?

The page counts the vehicle configurations of the open library. It changes nothing in it.
""",
    "knowngood_@name@/__init__.py": '''"""@title@: the vehicles of the library, counted by make."""
''',
    "knowngood_@name@/plugin.py": '''\
"""The hooks of this plugin. Nothing heavy is imported here: it runs at every start."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.api import Group, Host, Page, hookimpl

if TYPE_CHECKING:
    from collections.abc import Sequence

    from PySide6.QtWidgets import QWidget

API_VERSION = @api@
"""The version of the API that this plugin was written for."""


def _page(host: Host) -> QWidget:
    from knowngood_@name@.panel import CountPage

    return CountPage(host)


@hookimpl
def pages() -> Sequence[Page]:
    """The page of this plugin."""
    return [Page("@name@", "@title@", Group.SHOP, 50, _page)]
''',
    "knowngood_@name@/core.py": '''"""What the page shows, without Qt and without a database."""

from __future__ import annotations

from collections import Counter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable


def by_make(makes: Iterable[str]) -> list[tuple[str, int]]:
    """Count the makes, the most frequent first.

    >>> by_make(["Tarn", "Fen", "Tarn"])
    [('Tarn', 2), ('Fen', 1)]
    """
    return sorted(Counter(makes).items(), key=lambda one: (-one[1], one[0]))
''',
    "knowngood_@name@/panel.py": '''\
"""The page: it asks the library off the GUI thread and shows what came back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood.widgets import Card, EmptyState
from knowngood.widgets.grid import Grid
from knowngood_refdata.queries import vehicles
from PySide6.QtWidgets import QVBoxLayout, QWidget

from knowngood_@name@.core import by_make

if TYPE_CHECKING:
    from knowngood.api import Host
    from PySide6.QtGui import QShowEvent


class CountPage(QWidget):
    """Counts whenever it comes to the front; `table` shows a row a make."""

    def __init__(self, host: Host, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("page")
        self._host = host
        self.table = Grid("Vehicles by make", words_first=True)
        self._card = Card("Vehicles by make", "What the open library holds")
        self._card.body.addWidget(self.table)
        self._empty = EmptyState("The library holds no vehicle yet.", "Enter the first one")
        self._empty.clicked.connect(lambda: host.show_page("specs"))
        layout = QVBoxLayout(self)
        layout.setContentsMargins(20, 18, 20, 18)
        for part in (self._card, self._empty):
            layout.addWidget(part)
            part.hide()

    def showEvent(self, event: QShowEvent) -> None:
        """Count anew: vehicles may have been entered since."""
        super().showEvent(event)
        store = self._host.store

        def work(_progress: object) -> list[tuple[str, int]]:
            every = vehicles.search(store, limit=vehicles.count(store))
            return by_make(one.make for one in every)

        self._host.tasks.run("Counting vehicles", work, done=self._show)

    def _show(self, counts: list[tuple[str, int]]) -> None:
        self.table.write(["Make", "Vehicles"], [[make, str(count)] for make, count in counts])
        self._card.setVisible(bool(counts))
        self._empty.setVisible(not counts)
''',
    "tests/test_@name@.py": '''"""The count, alone and on a page with a library of its own."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from knowngood_refdata.drafts import VehicleDraft
from knowngood_refdata.queries import vehicles

from knowngood_@name@ import plugin
from knowngood_@name@.core import by_make
from knowngood_@name@.panel import CountPage

if TYPE_CHECKING:
    from collections.abc import Callable

    from knowngood.api import Host

FOLDER = Path(__file__).resolve().parents[1]


def test_the_most_frequent_make_comes_first() -> None:
    assert by_make(["Fen", "Tarn", "Tarn"]) == [("Tarn", 2), ("Fen", 1)]


def test_the_page_shows_a_row_a_make(host: Host, settle: Callable[[], None]) -> None:
    for model in ("Skerry", "Gill"):
        vehicles.add_vehicle(host.store, VehicleDraft("Tarn", model, "1.6 petrol", 2021))
    (page,) = plugin.pages()
    widget = page.factory(host)
    assert isinstance(widget, CountPage)
    widget.show()
    settle()
    assert (widget.table.text(0, 0), widget.table.text(0, 1)) == ("Tarn", "2")


def test_the_program_takes_it_in_and_finds_its_page(load: Callable[[Path], Any]) -> None:
    plugins = load(FOLDER)
    assert [one.title for one in plugins.pages()] == ["@title@"]
    assert plugins.status()[0].failures == ()
''',
}
