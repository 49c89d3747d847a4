"""Class files: a table of drops from CSV or XLSX, and back without a loss."""

from __future__ import annotations

import csv
import io
import os
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from bouncelab.errors import FileError, TableError
from bouncelab.readings.drops import Drops, read_rows
from bouncelab.readings.headings import read_heading
from bouncelab.readings.journal import write_whole
from bouncelab.readings.opening import bytes_of, decode

__all__ = ["Layout", "read_drops", "write_drops"]

LONGEST_LINE = 100_000
_SEARCHED = 30  # lines in which the headings must stand
_SPAN = 20  # lines that one quoted cell may run over
_DELIMITERS = (",", ";", "\t")
_END = "\x00 end"  # a file with this in it is refused as binary

Record = tuple[int, list[str]]


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file was laid out, for writing it back.

    Attributes
    ----------
    headings : tuple of str
        As they stood.
    header_line : int
        Their line.
    others : tuple of (int, str)
        Lines that hold no drop: titles, remarks and blank lines.
    delimiter : str
        What parts the cells.
    """

    headings: tuple[str, ...]
    header_line: int
    others: tuple[tuple[int, str], ...]
    delimiter: str = ","


def read_drops(path: str | os.PathLike[str]) -> Drops:
    """Read a class file; every row is kept.

    Parameters
    ----------
    path : path-like
        A CSV file (comma, semicolon or tab) or an XLSX workbook. Titles above the
        headings, blank lines and lines that begin with ``#`` are passed over.

    Returns
    -------
    Drops
        The table; its index ``row`` is the line that a person sees in the file.

    Raises
    ------
    FileError
        If the file cannot be opened.
    TableError
        If it holds no table of drops.

    Examples
    --------
    >>> from bouncelab.places import kit_folder
    >>> len(read_drops(kit_folder("data") / "larkfield_class.csv").table) > 200
    True
    """
    path = Path(path)
    data = bytes_of(path)
    raw: dict[int, str] = {}
    delimiter = ","
    if data[:4] == b"PK\x03\x04":
        from bouncelab.readings.workbook import read_workbook

        records, start = read_workbook(path, data, _find_headings)
    else:
        records, start, delimiter, raw = _read_text(path, decode(path, data))
    if start < 0:
        raise _no_table(path, records)
    header_line, headings = records[start]
    rows: list[Record] = []
    others = [(line, raw.get(line, _join(cells))) for line, cells in records[:start]]
    for line, cells in records[start + 1 :]:
        if _is_remark(cells) or not any(map(str.strip, cells)):
            others.append((line, raw.get(line, _join(cells))))
        else:
            rows.append((line, [_unguarded(cell) for cell in cells]))
    headings = [_unguarded(cell) for cell in headings]
    if not rows:
        raise TableError(
            what=path.name,
            read="headings and no drop",
            allowed="one drop in each line below the headings",
            do="Type the readings below the headings.",
        )
    width = len(headings)
    while width and not headings[width - 1].strip():
        width -= 1
    layout = Layout(tuple(headings), header_line, tuple(others), delimiter)
    try:
        return read_rows(
            headings[:width],
            [cells for _, cells in rows],
            lines=[line for line, _ in rows],
            source=path.name,
            layout=layout,
        )
    except TableError as error:
        what = f"{path.name}, row {header_line}, {error.what}"
        raise TableError(what, error.read, error.allowed, error.do) from error


def _read_text(path: Path, text: str) -> tuple[list[Record], int, str, dict[int, str]]:
    lines = text.split("\n")
    if lines and not lines[-1]:
        lines.pop()
    longest = max(map(len, lines))
    if longest > LONGEST_LINE:
        raise TableError(
            what=path.name,
            read=f"a line of {longest} letters, line {_line_of(lines, longest)}",
            allowed=f"up to {LONGEST_LINE}",
            do="Save the table again as CSV, one drop a line.",
        )
    best: tuple[int, int, str] = (0, -1, ",")
    for delimiter in _DELIMITERS:
        head = _all_records(lines[: 2 * _SEARCHED], delimiter)
        known, at = _find_headings(head)
        if known > best[0]:
            best = (known, at, delimiter)
    _, at, delimiter = best
    records = _all_records(lines, delimiter)
    raw = {line: lines[line - 1] for line, cells in records if _may_be_other(cells)}
    raw |= {line: lines[line - 1] for line, _ in records[: max(at, 0)]}
    return records, at, delimiter, raw


def _line_of(lines: Sequence[str], length: int) -> int:
    return next(n for n, line in enumerate(lines, start=1) if len(line) == length)


def _all_records(lines: Sequence[str], delimiter: str) -> list[Record]:
    try:
        records = list(_records([*lines, _END], delimiter, True))
        long = any(b[0] - a[0] > _SPAN for a, b in pairwise(records))
        if records.pop()[1] == [_END] and not long:
            return records
    except csv.Error:
        pass
    # A quote was opened and never closed: then quotes mean nothing here.
    return list(_records(lines, delimiter, False))


def _records(lines: Sequence[str], delimiter: str, quotes: bool) -> Iterator[Record]:
    # What stands in a remark opens no quote.
    tamed = ((x.replace('"', "'") if x[:1] == "#" else x) + "\n" for x in lines)
    reader = csv.reader(
        tamed,
        delimiter=delimiter,
        quoting=csv.QUOTE_MINIMAL if quotes else csv.QUOTE_NONE,
    )
    start = 1
    for cells in reader:
        yield start, cells or [""]
        start = reader.line_num + 1


def _may_be_other(cells: Sequence[str]) -> bool:
    return _is_remark(cells) or not any(map(str.strip, cells))


def _is_remark(cells: Sequence[str]) -> bool:
    return cells[0].lstrip().startswith("#") and not cells[0].strip()[1:].isdigit()


def _join(cells: Sequence[str]) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator="").writerow(cells)
    return out.getvalue()


def _find_headings(records: Sequence[Record]) -> tuple[int, int]:
    """Give how many headings are known in the best line, and its place."""
    best, place = 0, -1
    for at, (_, cells) in enumerate(records[:_SEARCHED]):
        columns = {read_heading(cell).column for cell in cells if len(cell) < 100}
        heights = {"drop_height_m", "rebound_height_m"} & columns
        known = len(columns - {""}) + 10 * len(heights)
        # A sentence above the table may speak of a drop and a rebound too.
        if known > best and len([c for c in cells if c.strip()]) > 1 and heights:
            best, place = known, at
    return best, place


def _no_table(path: Path, records: Sequence[Record]) -> TableError:
    first = next((c for _, c in records if any(map(str.strip, c))), [""])
    shown = ", ".join(f"“{cell.strip()[:30]}”" for cell in first[:8] if cell.strip())
    return TableError(
        what=f"{path.name}, headings",
        read=shown or "none",
        allowed="headings such as ball, drop height (cm), rebound height (cm)",
        do="Put a heading with its unit above each column.",
    )


# A text that a spreadsheet would run gets an apostrophe in front, as people do
# it by hand; so does a group's name that would pass for a remark. Reading takes
# one off again.
_RUNS = re.compile(r"'*[=+\-@\t#]")
_GUARDED = re.compile(r"'+[=+\-@\t#]")
_READING = re.compile(r"[+-]?[\d.,/ ]+\s*[a-zA-Z°%\"']{0,12}\.?", re.ASCII)


def _guarded(text: str) -> str:
    if _RUNS.match(text) and not _READING.fullmatch(text.replace("°", "")):
        return "'" + text
    return text


def _plain(text: str) -> str:
    return text.replace("\x00", "\ufffd").replace("\r\n", "\n").replace("\r", "\n")


def _unguarded(text: str) -> str:
    return text[1:] if _GUARDED.match(text) else text


def write_drops(drops: Drops, path: str | os.PathLike[str]) -> None:
    """Write a table of drops, as typed, with ``flag`` and ``why`` behind.

    Parameters
    ----------
    drops : Drops
        The table; titles, remarks and blank lines of its file are kept.
    path : path-like
        Where to; the suffix ``.csv`` or ``.xlsx`` says how.

    Raises
    ------
    FileError
        If it cannot be written, or the suffix is another one. A file that is
        there stays as it was until the new one is whole.

    Examples
    --------
    >>> import tempfile
    >>> from bouncelab.readings.drops import read_rows
    >>> drops = read_rows(["drop (cm)", "rebound (cm)"], [["180", "110"]])
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_drops(drops, Path(folder) / "oak.csv")
    ...     read_drops(Path(folder) / "oak.csv").table["rebound_height_m"].tolist()
    [1.1]
    """
    path = Path(path)
    lines = list(_laid_out(drops))
    if path.suffix.lower() == ".xlsx":
        from bouncelab.readings.workbook import workbook_bytes

        guarded = [
            cells if isinstance(cells, str) else [_guarded(cell) for cell in cells]
            for cells in lines
        ]
        write_whole(path, workbook_bytes(guarded))
        return
    if path.suffix.lower() != ".csv":
        raise FileError(
            what=path.name,
            read=f"the ending “{path.suffix}”",
            allowed=".csv or .xlsx",
            do="Give the file one of these endings.",
        )
    delimiter = drops.layout.delimiter if drops.layout else ","
    out = io.StringIO()
    writer = csv.writer(out, delimiter=delimiter, lineterminator="\n")
    for cells in lines:
        if isinstance(cells, str):
            remark = cells[:1] == "#"
            out.write((cells if remark else _guarded(cells)) + "\n")
        else:
            writer.writerow([_guarded(_plain(cell)) for cell in cells])
    # The mark tells spreadsheet programs that it is UTF-8.
    write_whole(path, out.getvalue().encode("utf-8-sig", errors="replace"))


def _laid_out(drops: Drops) -> Iterator[str | list[str]]:
    """Give the lines of the file in order: rows as lists, others as text."""
    names = list(drops.typed.columns)
    own = [drops.headings.get("flag"), drops.headings.get("why")]
    keep = [at for at, name in enumerate(names) if name not in own]
    layout: Layout | None = drops.layout
    headings = list(layout.headings) if layout else names
    headings += [""] * (len(names) - len(headings))
    flags, whys = drops.table["flag"].tolist(), drops.table["why"].tolist()
    columns = [drops.typed.iloc[:, at].tolist() for at in keep]
    body = [
        [*cells, flag, why]
        for *cells, flag, why in zip(*columns, flags, whys, strict=True)
    ]
    heads = [*(headings[at] for at in keep), "flag", "why"]
    if layout is None:
        yield heads
        yield from body
        return
    numbers = drops.table.index.tolist()
    placed: list[tuple[int, str | list[str]]] = [(layout.header_line, heads)]
    placed += list(zip(numbers, body, strict=True))
    placed += list(layout.others)
    yield from (cells for _, cells in sorted(placed, key=lambda each: each[0]))
