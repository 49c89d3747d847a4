"""Class files: a table of drops from CSV or XLSX, and back without a loss."""

from __future__ import annotations

import csv
import heapq
import io
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from bouncelab.errors import FileError, TableError
from bouncelab.places import write_whole
from bouncelab.readings.drops import Drops, Finding, read_columns, with_findings
from bouncelab.readings.gathered import Gathered, gather, guarded, unguarded
from bouncelab.readings.headings import nearest, read_heading
from bouncelab.readings.lines import (
    check_lines,
    choose_delimiter,
    find_headings,
    is_remark,
    parse,
)
from bouncelab.readings.opening import bytes_of, decode

__all__ = ["Layout", "read_drops", "write_drops"]


@dataclass(frozen=True, slots=True)
class Layout:
    """How a file was laid out, for writing it back.

    Attributes
    ----------
    headings : tuple of str
        As they stood.
    header_line : int
        Their line.
    others : tuple of (int, str or tuple of str)
        Lines that hold no drop: titles, remarks and blank lines, whole or in cells.
    delimiter : str
        What parts the cells.
    """

    headings: tuple[str, ...]
    header_line: int
    others: tuple[tuple[int, str | tuple[str, ...]], ...]
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
    try:
        found, delimiter, remarks = _found(path)
        if found.header_line == 0:
            raise _no_table(found.first)
        return _drops(path, found, delimiter, remarks)
    except TableError as error:
        if error.what.startswith(path.name):
            raise
        what = f"{path.name}, {error.what}"
        raise TableError(what, error.read, error.allowed, error.do) from error


def _found(path: Path) -> tuple[Gathered, str, list[str]]:
    """Give what stands in a file, what parts its cells, and what was noticed."""
    data = bytes_of(path)
    if data[:4] == b"PK\x03\x04":
        from bouncelab.readings.workbook import read_workbook

        records, place, remarks = read_workbook(path, data, find_headings)
        found = gather(records, place, lambda r: tuple(r.cells))
        found.wide.clear()  # no decimal comma parts the cells of a workbook
        return found, ",", remarks
    lines = decode(path, data).split("\n")
    del data
    lines = lines[:-1] if not lines[-1] else lines
    check_lines(path, lines)
    delimiter, place = choose_delimiter(lines)
    found = parse(
        lines,
        delimiter,
        lambda records: gather(
            records, place, lambda r: "\n".join(lines[r.line - 1 : r.stop - 1])
        ),
    )
    return found, delimiter, []


def _drops(
    path: Path, found: Gathered, delimiter: str, remarks: Sequence[str]
) -> Drops:
    if not found.lines:
        raise TableError(
            what=f"row {found.header_line}",
            read="headings and no drop",
            allowed="one drop in each line below the headings",
            do="Type the readings below the headings.",
        )
    headings = [unguarded(cell) for cell in found.headings]
    others = tuple(found.others)
    layout = Layout(tuple(headings), found.header_line, others, delimiter)
    for at, unit in enumerate(found.units):
        headings[at] = f"{headings[at]} ({unit})" if unit else headings[at]
    width = len(headings)
    while width and not headings[width - 1].strip():
        width -= 1
    try:
        drops = read_columns(
            headings[:width],
            found.columns,
            lines=found.lines,
            source=path.name,
            layout=layout,
        )
    except TableError as error:
        what = f"row {found.header_line}, {error.what}"
        raise TableError(what, error.read, error.allowed, error.do) from error
    if found.passed:
        shown = ", ".join(map(str, found.passed[:5]))
        more = " and more" if len(found.passed) > 5 else ""
        remarks = [
            *remarks,
            f"Begins with # and was passed over, though it looks like a drop: row "
            f"{shown}{more}.",
        ]
    drops = replace(drops, remarks=(*drops.remarks, *remarks))
    split = (
        [_split_by_a_comma(*each) for each in found.wide] if delimiter == "," else []
    )
    return with_findings(drops, split) if split else drops


def _split_by_a_comma(line: int, typed: str) -> Finding:
    return Finding(
        line,
        "",
        typed,
        "This line has more numbers than headings; a decimal comma may have cut one.",
        'Write 1.80 or "1,80" in quotes, or save the file with semicolons.',
        "more cells than headings",
        "unreadable",
    )


def _no_table(first: Sequence[str]) -> TableError:
    return TableError(
        what="headings",
        read=", ".join(f"“{cell.strip()[:30]}”" for cell in first[:8]) or "none",
        allowed="headings such as ball, drop height (cm), rebound height (cm)",
        do=nearest([cell for cell in first if not read_heading(cell).column])
        or "Put a heading with its unit above each column.",
    )


def _plain(text: str) -> str:
    return text.replace("\x00", "\ufffd").replace("\r\n", "\n").replace("\r", "\n")


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
    if path.suffix.lower() == ".xlsx":
        from bouncelab.readings.workbook import check_room, workbook_bytes

        check_room(path, drops.typed)
        write_whole(path, workbook_bytes(_laid_out(drops, guarded)))
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
    for cells in _laid_out(drops, lambda text: guarded(_plain(text))):
        if isinstance(cells, str):
            out.write(cells + "\n")
        else:
            writer.writerow(cells)
    # The mark tells spreadsheet programs that it is UTF-8.
    write_whole(path, out.getvalue().encode("utf-8-sig", errors="replace"))


def _laid_out(
    drops: Drops, guard: Callable[[str], str]
) -> Iterator[str | Sequence[str]]:
    """Give the lines of the file in order: rows as cells, whole lines as text."""
    names = list(drops.typed.columns)
    own = [drops.headings.get("flag"), drops.headings.get("why")]
    keep = [at for at, name in enumerate(names) if name not in own]
    layout: Layout | None = drops.layout
    headings = list(layout.headings) if layout else names
    width = len(headings)
    columns = [drops.typed.iloc[:, at].tolist() for at in keep if at < width]
    columns += [drops.table["flag"].tolist(), drops.table["why"].tolist()]
    # Cells beyond the headings stay beyond them: they may come from a decimal comma.
    columns += [drops.typed.iloc[:, at].tolist() for at in keep if at >= width]
    for at, texts in enumerate(columns):
        known = {text: guard(text) for text in set(texts)}
        columns[at] = list(map(known.__getitem__, texts))
    heads = tuple(
        map(guard, [*(headings[at] for at in keep if at < width), "flag", "why"])
    )
    body = zip(drops.table.index.tolist(), zip(*columns, strict=True), strict=True)
    first = layout.header_line if layout else 0
    others = (
        [(line, _whole(each, guard)) for line, each in layout.others] if layout else []
    )
    ordered = heapq.merge([(first, heads)], others, body, key=lambda each: each[0])
    yield from (cells for _, cells in ordered)


def _whole(
    line: str | tuple[str, ...], guard: Callable[[str], str]
) -> str | tuple[str, ...]:
    if isinstance(line, tuple):
        return line if is_remark(line) else tuple(map(guard, line))
    return line if line[:1] == "#" else guarded(line)
