"""Part the drops of a file from its titles and remarks; turn rows into columns."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import zip_longest

from bouncelab.errors import TableError
from bouncelab.readings.headings import read_heading
from bouncelab.readings.lines import MOST_CELLS, Record, is_other

__all__ = ["Gathered", "gather", "guarded", "unguarded"]

_BLOCK = 8192  # rows turned into columns at a time

# A text that a spreadsheet would run gets an apostrophe in front, as people do
# it by hand; so does a group's name that would pass for a remark. Reading takes
# one off again.
_RUNS = re.compile(r"'*[=+\-@\t#]")
_GUARDED = re.compile(r"'+[=+\-@\t#]")
_READING = re.compile(r"[+-]?[\d.,/ ]+\s*[a-zA-Z°%\"']{0,12}\.?", re.ASCII)


def guarded(text: str) -> str:
    """Give a text that no spreadsheet runs and no reader takes for a remark."""
    if _RUNS.match(text) and not _READING.fullmatch(text.replace("°", "")):
        return "'" + text
    return text


def unguarded(text: str) -> str:
    """Give the text that `guarded` was given."""
    return text[1:] if _GUARDED.match(text) else text


class _Distinct(dict[str, str]):
    """Gives each text without its guard; equal texts become one object."""

    def __missing__(self, text: str) -> str:
        self[text] = plain = unguarded(text)
        return plain


@dataclass(slots=True)
class Gathered:
    """A file's cells in columns, beside the lines that hold no drop.

    Attributes
    ----------
    headings, units : list of str
        As they stand, and what a line of units below them says.
    header_line : int
        The line of the headings.
    columns : list of list of str
        The cells, without the guard of a text that a spreadsheet would run.
    lines : list of int
        The line of each drop.
    others : list of (int, str or tuple of str)
        Lines that hold no drop.
    wide : list of (int, str)
        Drops with more numbers than headings.
    passed : list of int
        Lines that begin with ``#`` and look like a drop.
    first : list of str
        The first cells that are not blank, if there are no headings.
    """

    headings: list[str] = field(default_factory=list)
    units: list[str] = field(default_factory=list)
    header_line: int = 0
    columns: list[list[str]] = field(default_factory=list)
    lines: list[int] = field(default_factory=list)
    others: list[tuple[int, str | tuple[str, ...]]] = field(default_factory=list)
    wide: list[tuple[int, str]] = field(default_factory=list)
    passed: list[int] = field(default_factory=list)
    first: list[str] = field(default_factory=list)

    def add(self, block: list[list[str]], distinct: _Distinct) -> None:
        """Turn rows into columns and put them below those that are there."""
        before = len(self.lines) - len(block)
        for at, texts in enumerate(zip_longest(*block, fillvalue="")):
            if at == len(self.columns):
                self.columns.append([""] * before)
            self.columns[at].extend(map(distinct.__getitem__, texts))
        for column in self.columns:
            column.extend([""] * (len(self.lines) - len(column)))


def gather(
    records: Iterable[Record],
    place: int,
    whole: Callable[[Record], str | tuple[str, ...]],
) -> Gathered:
    """Part drops from what else stands in a file.

    Parameters
    ----------
    records : iterable of Record
        All rows of the file.
    place : int
        Which of them holds the headings; -1 if none.
    whole : callable
        Gives a row that holds no drop as it shall be written back.

    Returns
    -------
    Gathered
        The cells in columns.

    Raises
    ------
    TableError
        If a row has more than `MOST_CELLS`.
    """
    found, distinct = Gathered(), _Distinct()
    block: list[list[str]] = []
    for at, record in enumerate(records):
        line, _, cells = record
        if len(cells) > MOST_CELLS:
            cells = _narrow(line, cells)
        if at == place:
            found.headings, found.header_line = cells, line
            found.columns = [[] for _ in cells]
        elif at < place or place < 0 or is_other(cells):
            found.first = found.first or [c for c in cells if c.strip()]
            found.others.append((line, whole(record)))
            if at > place >= 0 and sum(map(_is_digits, cells)) > 1:
                found.passed.append(line)
        elif at == place + 1 and _units_below(found.headings, cells):
            found.units = _units_below(found.headings, cells)
            found.others.append((line, whole(record)))
        else:
            found.lines.append(line)
            block.append(cells)
            width = len(found.headings)
            if len(cells) > width and any(map(_is_digits, cells[width:])):
                found.wide.append((line, ",".join(cells)))
            if len(block) == _BLOCK:
                found.add(block, distinct)
                block = []
    found.add(block, distinct)
    return found


def _narrow(line: int, cells: list[str]) -> list[str]:
    """Take off blank cells at the end; refuse a row that is still too wide."""
    filled = max((at for at, cell in enumerate(cells) if cell.strip()), default=0) + 1
    if filled > MOST_CELLS:
        raise TableError(
            what=f"row {line}",
            read=f"{filled} cells",
            allowed=f"up to {MOST_CELLS}",
            do="Save the table again, one drop a line.",
        )
    return cells[:filled]


def _is_digits(cell: str) -> bool:
    return cell.strip().replace(".", "").isdecimal()


def _units_below(headings: Sequence[str], cells: Sequence[str]) -> list[str]:
    """Give the units that stand in a line of their own below the headings, or none."""
    units = [cell.strip(" ()[]") for cell in cells]
    if not any(units) or len(units) > len(headings):
        return []
    for heading, unit in zip(headings, units, strict=False):
        if unit and (
            len(unit) > 20
            or read_heading(heading).unit
            or not read_heading(f"{heading} ({unit})").unit
        ):
            return []
    return units
