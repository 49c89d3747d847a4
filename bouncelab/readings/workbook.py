"""XLSX workbooks: cells in and out as text."""

from __future__ import annotations

import datetime
import io
import re
import warnings
import zipfile
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError, TableError
from bouncelab.readings.lines import MOST_CELLS, SEARCHED, Record

__all__ = ["check_room", "read_workbook", "workbook_bytes"]

_MOST_BYTES = 200_000_000  # unpacked; a small file may hide a huge one
_MOST_ROWS = 1_048_576  # of a sheet, by the file format
_MOST_LETTERS = 32_767  # of a cell, by the file format
_BARE = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d{1,10})?")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")
_UNIT_SHOWN = re.compile(r'"\s*([^"\d]{1,12}?)\s*"$')  # as in 0.0" cm"


def read_workbook(
    path: Path,
    data: bytes,
    find_headings: Callable[[Sequence[Record]], tuple[int, int]],
) -> tuple[list[Record], int, list[str]]:
    """Read the sheet of a workbook that holds a table of drops.

    Parameters
    ----------
    path : pathlib.Path
        For messages.
    data : bytes
        The file.
    find_headings : callable
        Gives, for rows, how many headings are known in the best row and its
        place; the sheet with most is taken.

    Returns
    -------
    tuple of (list of Record, int, list of str)
        The rows, the place of the headings (-1 if none), and what was noticed.

    Raises
    ------
    TableError
        If it is no workbook that can be read.
    """
    import openpyxl

    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            size = sum(part.file_size for part in packed.infolist())
        if size > _MOST_BYTES:
            raise _no_workbook(path, f"{size / 1e6:.0f} MB when unpacked")
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")  # of looks that it does not keep
            book = openpyxl.load_workbook(
                io.BytesIO(data), read_only=True, data_only=True
            )
            records, place, names = _best_sheet(book, find_headings)
            book.close()
    except TableError:
        raise
    except Exception as error:  # openpyxl raises many kinds for a damaged file
        raise _no_workbook(
            path, "a damaged workbook or another kind of file"
        ) from error
    if len(names) < 2:
        return records, place, []
    others = ", ".join(f"“{name}”" for name in names[1:])
    said = f"Only the sheet “{names[0]}” was read; drops stand in {others} too."
    return records, place, [said]


def _best_sheet(
    book: Any, find_headings: Callable[[Sequence[Record]], tuple[int, int]]
) -> tuple[list[Record], int, list[str]]:
    """Give the rows of the first sheet with most headings, and who has headings."""
    best, place, chosen, names = 0, -1, None, []
    for sheet in book.worksheets:
        sheet.reset_dimensions()  # some programs write a wrong size
        known, at = find_headings(list(islice(_rows(sheet), SEARCHED)))
        if known > best:
            best, place, chosen = known, at, sheet
        if known > 0:
            names.append(sheet.title)
    if chosen is None:
        chosen = next(iter(book.worksheets))
    names.sort(key=lambda name: name != chosen.title)
    records = list(_rows(chosen))
    while records and not any(records[-1].cells):
        records.pop()
    return records, place, names


def _rows(sheet: Any) -> Iterator[Record]:
    # A sheet of a few bytes may claim a billion rows, or cells far to the right.
    for number, row in enumerate(sheet.iter_rows(), start=1):
        cells = [_shown(cell) for cell in row]
        while cells and not cells[-1]:
            cells.pop()
        if number > _MOST_ROWS or len(cells) > MOST_CELLS:
            raise TableError(
                what=f"sheet “{sheet.title}”, row {number}",
                read=f"{len(cells)} cells",
                allowed=f"up to {MOST_CELLS} cells, in {_MOST_ROWS} rows",
                do="Save the table alone, one drop a line.",
            )
        yield Record(number, number + 1, cells or [""])


def _shown(cell: Any) -> str:
    """Give a cell as text, with the unit that its number format writes behind."""
    text = _text(cell.value)
    if text and cell.data_type == "n" and '"' in (cell.number_format or ""):
        unit = _UNIT_SHOWN.search(cell.number_format.split(";")[0])
        return f"{text} {unit[1]}" if unit else text
    return text


def _no_workbook(path: Path, read: str) -> TableError:
    return TableError(
        what=path.name,
        read=read,
        allowed="an XLSX workbook",
        do="Open it in a spreadsheet program and save it again as XLSX or CSV.",
    )


def _text(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        # 15 digits are what a spreadsheet shows; more are the binary's shadow.
        return f"{value:.15g}"
    if isinstance(value, datetime.datetime):
        return value.isoformat(sep=" ").removesuffix(" 00:00:00")
    return str(value)


def check_room(path: Path, typed: Any) -> None:
    """Refuse to write a workbook that would lose something.

    Parameters
    ----------
    path : pathlib.Path
        Where it shall be written.
    typed : pandas.DataFrame
        The cells.

    Raises
    ------
    FileError
        If the table does not fit into a sheet, or the file that is there has
        other sheets.
    """
    read = ""
    if len(typed) > _MOST_ROWS - 1000:  # titles and headings stand above
        read = f"{len(typed)} rows"
    elif any(len(t) > _MOST_LETTERS for name in typed for t in typed[name]):
        read = f"a cell of more than {_MOST_LETTERS} letters"
    if read:
        do = "Save it as CSV."
        raise FileError(path.name, read, "what fits into a sheet", do)
    try:
        with zipfile.ZipFile(path) as packed:
            sheets = [n for n in packed.namelist() if n.startswith("xl/worksheets/s")]
    except (OSError, zipfile.BadZipFile):
        return
    if len(sheets) > 1:
        raise FileError(
            what=path.name,
            read=f"a workbook with {len(sheets)} sheets",
            allowed="one with this table alone",
            do="Give the file another name, so that the other sheets stay.",
        )


def workbook_bytes(lines: Iterable[str | Sequence[str]]) -> bytes:
    """Write rows of text as a workbook; no cell is a formula.

    Parameters
    ----------
    lines : iterable of (str or sequence of str)
        Rows in order; a plain text fills the first cell of its row.

    Returns
    -------
    bytes
        The file.
    """
    import openpyxl
    from openpyxl.cell import WriteOnlyCell

    book = openpyxl.Workbook(write_only=True)
    sheet = book.create_sheet("drops")
    for line in lines:
        cells = []
        for text in [line] if isinstance(line, str) else line:
            if _BARE.fullmatch(text) and text != "-0":
                number = float(text) if "." in text else int(text)
                if _text(number) == text:
                    cells.append(WriteOnlyCell(sheet, number))
                    continue
            cell = WriteOnlyCell(sheet, _CONTROL.sub("\ufffd", text))
            cell.data_type = "s"  # text, even where it begins like a formula
            cells.append(cell)
        sheet.append(cells)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
