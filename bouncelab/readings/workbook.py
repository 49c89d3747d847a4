"""XLSX workbooks: cells in and out as text."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from bouncelab.errors import TableError

__all__ = ["read_workbook", "workbook_bytes"]

_MOST_BYTES = 1_000_000_000  # unpacked; a small file may hide a huge one
_BARE = re.compile(r"-?(0|[1-9]\d{0,14})(\.\d{1,10})?")
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff]")

Record = tuple[int, list[str]]


def read_workbook(
    path: Path,
    data: bytes,
    find_headings: Callable[[Sequence[Record]], tuple[int, int]],
) -> tuple[list[Record], int]:
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
    tuple of (list of (int, list of str), int)
        The rows with their numbers, and the place of the headings; -1 if none.

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
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except TableError:
        raise
    except Exception as error:  # openpyxl raises many kinds for a damaged file
        raise _no_workbook(
            path, "a damaged workbook or another kind of file"
        ) from error
    best: tuple[int, list[Record], int] = (0, [], -1)
    try:
        for sheet in book.worksheets:
            records = [
                (number, [_text(value) for value in row] or [""])
                for number, row in enumerate(sheet.iter_rows(values_only=True), start=1)
            ]
            known, at = find_headings(records)
            if known > best[0] or not best[1]:
                best = (known, records, at)
    except Exception as error:
        raise _no_workbook(path, "a damaged sheet") from error
    finally:
        book.close()
    return best[1], best[2]


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


def workbook_bytes(lines: Iterable[str | list[str]]) -> bytes:
    """Write rows of text as a workbook; no cell is a formula.

    Parameters
    ----------
    lines : iterable of (str or list of str)
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
