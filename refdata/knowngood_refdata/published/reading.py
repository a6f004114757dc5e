"""A published table from its document; see `knowngood_refdata.published.writing` for the form."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from knowngood_refdata.published.axes import Axis, Column, Limit, Steps
from knowngood_refdata.published.curves import Band, Curves, Vertex
from knowngood_refdata.published.grid import Grid
from knowngood_refdata.published.node import BadDocument, Node
from knowngood_refdata.published.set_up import SetUp
from knowngood_refdata.published.span import Span, agrees
from knowngood_refdata.published.table import Part, PerformanceTable
from knowngood_refdata.published.terms import BadTable, Circuit, Doors, Figure, Reference, Variable, kind_of
from knowngood_refdata.published.writing import VERSION
from knowngood_refdata.quantities import Kind, unit
from knowngood_refdata.records import AirSource, MeteringDevice, Opening

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from knowngood_refdata.quantities import MeasuringUnit

_COMMON = ("shape", "name", "at_rest", "fault", "limits")


def from_document(document: Mapping[str, Any]) -> PerformanceTable:
    """The table of a document.

    Raises
    ------
    BadDocument
        When the document is of a newer version, or anything in it is missing, unknown, impossible, or at
        odds with its own printed text; the message names the place.
    """
    root = Node(dict(document), "the table")
    root.only("title", "circuit", "generic", "setup", "content")
    content = root.at("content")
    _check_version(content)
    content.only("version", "parts", "wider", "wider_when", "notes")
    with _placed("the table"):
        return PerformanceTable(
            title=root.text_at("title"),
            parts=tuple(map(_part, content.list_at("parts"))),
            set_up=_set_up(root.at("setup")) if root.has("setup") else SetUp(),
            circuit=root.at("circuit").choice(Circuit) if root.text_at("circuit") else None,
            generic=bool(root.flag_at("generic")),
            wider=tuple(map(_part, content.list_at("wider"))),
            wider_when=content.text_at("wider_when"),
            notes=content.text_at("notes"),
        )


def _check_version(content: Node) -> None:
    version = content.at("version").number()
    if version > VERSION:
        raise BadDocument(
            f"the table is of version {version:g} and this program reads up to {VERSION}: it was left as it "
            "is; open it with a newer program"
        )
    if version != VERSION:
        raise BadDocument(f"there is no version {version:g} of a published table")


def _set_up(node: Node) -> SetUp:
    node.only(*SetUp.__dataclass_fields__)
    rpm = unit("rpm", Kind.ROTATION)
    with _placed(node.place):
        return SetUp(
            engine_rpm=_span(node.at("engine_rpm"), rpm) if node.has("engine_rpm") else None,
            idle=bool(node.flag_at("idle")),
            blower=node.number_at("blower"),
            air_source=node.choice_at("air_source", AirSource),
            doors=node.choice_at("doors", Doors),
            windows=node.choice_at("windows", Opening),
            hood=node.choice_at("hood", Opening),
            sun=node.flag_at("sun"),
            soak_s=node.number_at("soak_s"),
            run_time_s=node.number_at("run_time_s"),
            gear=node.text_at("gear"),
            refrigerant=node.text_at("refrigerant"),
            metering=tuple(one.choice(MeteringDevice) for one in node.list_at("metering")),
            limits=_limits(node),
            controls=node.text_at("controls"),
            notes=node.text_at("notes"),
        )


def _part(node: Node) -> Part:
    shape = node.at("shape").text()
    if shape == "grid":
        return _grid(node)
    if shape == "curves":
        return _curves(node)
    raise BadDocument(f"{node.place}: a block of the shape '{shape}' is not known; known are grid, curves")


def _grid(node: Node) -> Grid:
    node.only(*_COMMON, "axes", "columns", "cells")
    columns = tuple(map(_column, node.at("columns").each()))
    with _placed(node.place):
        return Grid(
            columns=columns,
            cells=tuple(_row(row, columns) for row in node.at("cells").each()),
            axes=tuple(map(_axis, node.list_at("axes"))),
            name=node.text_at("name"),
            at_rest=bool(node.flag_at("at_rest")),
            fault=node.text_at("fault"),
            limits=_limits(node),
        )


def _row(node: Node, columns: tuple[Column, ...]) -> tuple[Span | None, ...]:
    cells = node.each()
    if len(cells) != len(columns):
        raise BadDocument(f"{node.place}: {len(cells)} values for {len(columns)} columns")
    return tuple(
        None if cell.value is None else _span(cell, column.unit)
        for cell, column in zip(cells, columns, strict=True)
    )


def _curves(node: Node) -> Curves:
    node.only(*_COMMON, "column", "along", "along_unit", "by", "bands")
    along = node.at("along").choice(Variable)
    with _placed(node.place):
        return Curves(
            column=_column(node.at("column")),
            along=along,
            along_unit=node.at("along_unit").unit(kind_of(along)),
            bands=tuple(map(_band, node.at("bands").each())),
            by=_axis(node.at("by")) if node.has("by") else None,
            name=node.text_at("name"),
            at_rest=bool(node.flag_at("at_rest")),
            fault=node.text_at("fault"),
            limits=_limits(node),
        )


def _band(node: Node) -> Band:
    node.only("lower", "upper")
    return Band(_line(node.at("lower")), _line(node.at("upper")))


def _line(node: Node) -> tuple[Vertex, ...]:
    return tuple(map(_vertex, node.each()))


def _vertex(node: Node) -> Vertex:
    pair = node.each()
    if len(pair) != 2:
        raise BadDocument(f"{node.place}: a point of a line has two numbers")
    return Vertex(pair[0].number(), pair[1].number())


def _axis(node: Node) -> Axis:
    node.only("variable", "unit", "steps", "stops", "heading")
    variable = node.at("variable").choice(Variable)
    unit_ = node.at("unit").unit(kind_of(variable))
    with _placed(node.place):
        return Axis(
            variable=variable,
            unit=unit_,
            stops=tuple(_span(stop, unit_) for stop in node.at("stops").each()),
            steps=node.at("steps").choice(Steps),
            heading=node.text_at("heading"),
        )


def _column(node: Node) -> Column:
    node.only("figure", "unit", "reference", "heading")
    figure = node.at("figure").choice(Figure)
    with _placed(node.place):
        return Column(
            figure=figure,
            unit=node.at("unit").unit(kind_of(figure)),
            reference=node.choice_at("reference", Reference) or Reference.NOT_SAID,
            heading=node.text_at("heading"),
        )


def _limits(node: Node) -> tuple[Limit, ...]:
    return tuple(map(_limit, node.list_at("limits")))


def _limit(node: Node) -> Limit:
    node.only("variable", "unit", "span")
    variable = node.at("variable").choice(Variable)
    unit_ = node.at("unit").unit(kind_of(variable))
    with _placed(node.place):
        return Limit(variable, unit_, _span(node.at("span"), unit_))


def _span(node: Node, unit_: MeasuringUnit) -> Span:
    node.only("printed", "low", "high", "strict")
    with _placed(node.place):
        span = Span(
            printed=node.at("printed").text(),
            low=node.number_at("low"),
            high=node.number_at("high"),
            strict=bool(node.flag_at("strict")),
        )
        if not agrees(span, unit_):
            raise BadTable(f"the printed '{span.printed}' {unit_.symbol} is not what its stored values say")
        return span


@contextmanager
def _placed(place: str) -> Iterator[None]:
    """Name the place in what is refused inside, unless a deeper place is named already."""
    try:
        yield
    except BadDocument:
        raise
    except BadTable as error:
        raise BadDocument(f"{place}: {error}") from None
