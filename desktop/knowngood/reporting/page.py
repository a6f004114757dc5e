"""The report as one self-contained HTML page: no file, font or script is fetched from elsewhere."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import jinja2

if TYPE_CHECKING:
    from datetime import datetime

    from knowngood.api import Sheet
    from knowngood.reporting.content import Content

_HERE = Path(__file__).parent
_SCREEN = "@media screen { body { max-width: 190mm; margin: 8mm auto; padding: 0 6mm; } }"


def render(content: Content, *, for_print: bool = False) -> str:
    """The page; every text is escaped but the sections, whose plugins have done so.

    ``for_print`` leaves out what only a browser understands.
    """
    style = _style() + ("" if for_print else _SCREEN)
    return _template("report.html.j2").render(content=content, style=style)


def render_sheet(sheet: Sheet, *, shop: str, vehicle: str, printed_at: datetime) -> str:
    """The page of a sheet for printing; its body is taken as it is, the rest is escaped."""
    return _template("sheet.html.j2").render(
        sheet=sheet, shop=shop, vehicle=vehicle, printed_at=f"{printed_at:%Y-%m-%d %H:%M}", style=_style()
    )


def _style() -> str:
    return (_HERE / "report.css").read_text("utf-8")


def _template(name: str) -> jinja2.Template:
    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(_HERE), autoescape=True, undefined=jinja2.StrictUndefined
    )
    return environment.get_template(name)
