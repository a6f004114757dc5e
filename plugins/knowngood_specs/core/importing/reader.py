"""A file of any layout as a table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from knowngood_refdata.text_files import TextFault, TextUnreadable, decode
from knowngood_specs.core.importing.delimited import table_of_text
from knowngood_specs.core.importing.table import LARGEST_BYTES, Table, TableUnreadable
from knowngood_specs.core.importing.workbook import table_of_workbook

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["Table", "TableUnreadable", "read_rows"]

_WORKBOOKS = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")
_ADVICE = {
    TextFault.EMPTY: "export it again.",
    TextFault.BLANK: "export it again.",
    TextFault.TOO_LARGE: "split the file and import the parts one after the other.",
    TextFault.OTHER_FILE: "save the table as CSV or XLSX and import that.",
    TextFault.DAMAGED: "export it again.",
    TextFault.BINARY: "save the table as CSV or XLSX and import that.",
}


def read_rows(
    data: bytes, name: str, progress: Callable[[float], None] = lambda _: None, *, sheet: str = ""
) -> Table:
    """Read a table from the bytes of a CSV, TSV, XLSX, XLS or ODS file.

    Parameters
    ----------
    data
        The file as it is; its content decides how it is read, not its name.
    name
        Its name, kept for the record.
    progress
        Called now and then with the fraction done; what it raises to stop passes through.
    sheet
        The sheet of a workbook; without it the one that names most columns.

    Raises
    ------
    TableUnreadable
        When there is no table in the file or it is beyond the limits; the text is for the reader.
    """
    progress(0.0)
    if data.startswith(_WORKBOOKS):
        return table_of_workbook(data, name, progress, sheet)
    try:
        text = decode(data, LARGEST_BYTES, line_by_line=True)
    except TextUnreadable as error:
        raise TableUnreadable(f"{error} Nothing was imported; {_ADVICE[error.fault]}") from None
    return table_of_text(text, name, progress)
