"""Cut the text of a CSV file into lines of cells, whatever parts the cells."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import NamedTuple, TypeVar

from bouncelab.errors import TableError
from bouncelab.readings.headings import read_heading

__all__ = [
    "MOST_CELLS",
    "SEARCHED",
    "Record",
    "check_lines",
    "choose_delimiter",
    "find_headings",
    "is_other",
    "is_remark",
    "parse",
]

LONGEST_LINE = 100_000  # letters; a class file's line has about a hundred
MOST_CELLS = 256  # in a row; a class file has about a dozen
SEARCHED = 30  # lines in which the headings must stand
_SPAN = 20  # lines that one quoted cell may run over
_DELIMITERS = (",", ";", "\t")
_END = "\x00 end"  # a file with this in it is refused as binary
_ERRORS = ("#N/A", "#REF!", "#DIV/0!", "#VALUE!", "#NAME?", "#NUM!", "#NULL!")
Result = TypeVar("Result")


class Record(NamedTuple):
    """Cells of one row, with the first line it stands on and the one after it."""

    line: int
    stop: int
    cells: list[str]


class _Unclosed(Exception):
    pass


def check_lines(path: Path, lines: Sequence[str]) -> None:
    """Refuse a file with a line that is no line of a table.

    Parameters
    ----------
    path : pathlib.Path
        For the message.
    lines : sequence of str
        The file's lines.

    Raises
    ------
    TableError
        If one is longer than `LONGEST_LINE`.
    """
    longest = max(map(len, lines))
    if longest > LONGEST_LINE:
        at = next(n for n, line in enumerate(lines, start=1) if len(line) == longest)
        raise TableError(
            what=path.name,
            read=f"a line of {longest} letters, line {at}",
            allowed=f"up to {LONGEST_LINE}",
            do="Save the table again as CSV, one drop a line.",
        )


def choose_delimiter(lines: Sequence[str]) -> tuple[str, int]:
    """Give what parts the cells, and the place of the headings.

    Parameters
    ----------
    lines : sequence of str
        The file's lines.

    Returns
    -------
    tuple of (str, int)
        Comma, semicolon or tab: the one with which most headings are known; and
        which record holds the headings, -1 if none.
    """
    best: tuple[int, int, str] = (0, -1, ",")
    for delimiter in _DELIMITERS:
        known, at = find_headings(parse(lines[: 2 * SEARCHED], delimiter, list))
        if known > best[0]:
            best = (known, at, delimiter)
    return best[2], best[1]


def parse(
    lines: Sequence[str], delimiter: str, gather: Callable[[Iterator[Record]], Result]
) -> Result:
    """Cut lines into records.

    Parameters
    ----------
    lines : sequence of str
        Without their ends.
    delimiter : str
        What parts the cells.
    gather : callable
        Takes the records as they come. It is called a second time if a quote was
        opened and never closed: then quotes mean nothing in this file, so that
        no row is lost inside them.

    Returns
    -------
    object
        What `gather` gives.
    """
    try:
        return gather(_records(lines, delimiter, True))
    except (csv.Error, _Unclosed):
        return gather(_records(lines, delimiter, False))


def _records(lines: Sequence[str], delimiter: str, quotes: bool) -> Iterator[Record]:
    # What stands in a remark opens no quote.
    tamed = ((x.replace('"', "'") if x[:1] == "#" else x) + "\n" for x in lines)
    reader = csv.reader(
        _with_end(tamed),
        delimiter=delimiter,
        quoting=csv.QUOTE_MINIMAL if quotes else csv.QUOTE_NONE,
        skipinitialspace=quotes and any(f'{delimiter} "' in line for line in lines),
        strict=quotes,
    )
    start, last = 1, len(lines) + 1
    for cells in reader:
        stop = reader.line_num + 1
        if start == last:
            return
        if stop - start > _SPAN or stop > last:
            raise _Unclosed
        yield Record(start, stop, cells or [""])
        start = stop


def _with_end(lines: Iterator[str]) -> Iterator[str]:
    yield from lines
    yield _END


def is_remark(cells: Sequence[str]) -> bool:
    """Say whether a row is a remark: it begins with ``#``, and not as ``#1``."""
    first = cells[0].strip()
    return first[:1] == "#" and not first[1:].isdigit() and first not in _ERRORS


def is_other(cells: Sequence[str]) -> bool:
    """Say whether a row below the headings is blank or a remark."""
    return is_remark(cells) or not any(map(str.strip, cells))


def find_headings(records: Sequence[Record]) -> tuple[int, int]:
    """Find the row of headings.

    Parameters
    ----------
    records : sequence of Record
        The first rows of a file.

    Returns
    -------
    tuple of (int, int)
        How many headings are known in the best row, and its place; -1 if none.
    """
    best, place = 0, -1
    for at, (_, _, cells) in enumerate(records[:SEARCHED]):
        columns = {read_heading(cell).column for cell in cells if len(cell) < 100}
        heights = {"drop_height_m", "rebound_height_m"} & columns
        known = len(columns - {""}) + 10 * len(heights)
        known -= cells[0].strip()[1:] != "" and is_remark(cells)
        # A sentence above the table may speak of a drop and a rebound too.
        if known > best and len([c for c in cells if c.strip()]) > 1 and heights:
            best, place = known, at
    return best, place
