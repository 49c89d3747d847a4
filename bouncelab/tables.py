"""Small CSV tables of facts: headings with units, one fact a row, cells as written."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from bouncelab.errors import FileError, InputError, TableError
from bouncelab.units import (
    read_length,
    read_mass,
    read_number,
    read_pressure,
    read_temperature,
)

__all__ = ["MOST_BYTES", "Row", "read_table"]

MOST_BYTES = 1_000_000
_BRACKET = re.compile(r"\s*[(\[]([^)\]]*)[)\]]\s*")


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a table, with what is needed to point at it.

    Attributes
    ----------
    file : str
        The file's name.
    line : int
        The line that a person sees.
    cells : dict of str to str
        The text under each heading, blanks taken off.
    headings : dict of str to str
        Each heading as it stands in the file.
    units : dict of str to str
        The unit that a heading gives.
    """

    file: str
    line: int
    cells: dict[str, str]
    headings: dict[str, str]
    units: dict[str, str]

    def text(self, name: str) -> str:
        """Give a cell as it stands; empty if there is none."""
        return self.cells.get(name, "")

    def error(self, name: str, allowed: str, do: str, read: str = "") -> TableError:
        """Make the error that points at a cell of this row."""
        heading = self.headings.get(name, name)
        shown = read or f"“{self.text(name)}”"
        return TableError(
            f"{self.file}, row {self.line}, {heading}", shown, allowed, do
        )

    def needed(self, name: str, value: float | None) -> float:
        """Give a value, or an error if its cell is blank."""
        if value is None:
            raise self.error(name, "a value", "Fill in the cell.", "nothing")
        return value

    def length(self, name: str) -> float | None:
        """Give a length in m, or None for a blank cell."""
        return self._read(name, lambda text, unit: read_length(text, unit=unit))

    def mass(self, name: str) -> float | None:
        """Give a mass in kg, or None for a blank cell."""
        return self._read(name, lambda text, unit: read_mass(text, unit=unit))

    def pressure(self, name: str) -> float | None:
        """Give a gauge pressure in Pa, or None for a blank cell."""
        return self._read(name, lambda text, unit: read_pressure(text, unit=unit))

    def temperature(self, name: str) -> float | None:
        """Give a temperature in °C, or None for a blank cell."""
        return self._read(name, lambda text, unit: read_temperature(text, unit=unit))

    def number(self, name: str) -> float | None:
        """Give a number without a unit, or None for a blank cell."""
        return self._read(name, lambda text, unit: read_number(text))

    def _read(
        self, name: str, reader: Callable[[str, str | None], float]
    ) -> float | None:
        text = self.text(name)
        if not text:
            return None
        try:
            return reader(text, self.units.get(name))
        except InputError as error:
            raise self.error(name, error.allowed, error.do, error.read) from error


def read_table(path: Path, same: Mapping[str, str]) -> list[Row]:
    """Read a small CSV table.

    Parameters
    ----------
    path : pathlib.Path
        Comma, semicolon or tab; blank lines and lines that begin with ``#`` are
        passed over, and the first other line holds the headings.
    same : mapping of str to str
        Other wordings of headings, in small letters without units.

    Returns
    -------
    list of Row
        In the order of the file.

    Raises
    ------
    FileError
        If the file cannot be opened or is no small text file.
    TableError
        If it is empty, two headings are one, or a row has too many cells.

    Examples
    --------
    >>> from bouncelab.places import kit_folder
    >>> read_table(kit_folder("data") / "balls.csv", {})[0].length("circumference")
    0.765
    """
    lines = _text(path).splitlines(keepends=True)
    at = next((k for k, line in enumerate(lines) if not _passed_over(line)), None)
    if at is None:
        raise TableError(
            path.name, "nothing", "a line of headings", "Write headings and rows."
        )
    delimiter = max(",;\t", key=lines[at].count)
    reader = csv.reader(lines[at:], delimiter=delimiter)
    rows: list[Row] = []
    headings: list[str] = []
    try:
        start = at
        for cells in reader:
            line, start = start + 1, at + reader.line_num
            texts = [cell.strip() for cell in cells]
            if not headings:
                headings = texts
                names, units = _names(path, line, texts, same)
            elif any(texts) and not texts[0].startswith("#"):
                if any(texts[len(names) :]):
                    raise TableError(
                        what=f"{path.name}, row {line}",
                        read=f"{len(texts)} cells",
                        allowed=f"{len(names)}, one for each heading",
                        do="Put a text with a comma in it between quotation marks.",
                    )
                shown = dict(zip(names, headings, strict=True))
                found = dict(zip(names, texts, strict=False))
                rows.append(Row(path.name, line, found, shown, units))
    except csv.Error as error:
        raise TableError(
            what=f"{path.name}, row {start + 1}",
            read=str(error),
            allowed="cells between commas",
            do="Save the table again as CSV.",
        ) from error
    return rows


def _passed_over(line: str) -> bool:
    return not line.strip(" \t\r\n,;") or line.lstrip().startswith("#")


def _names(
    path: Path, line: int, texts: list[str], same: Mapping[str, str]
) -> tuple[list[str], dict[str, str]]:
    """Give each heading's plain name, and the units that headings say."""
    names: list[str] = []
    units: dict[str, str] = {}
    for text in texts:
        bracket = _BRACKET.search(text)
        plain = " ".join(_BRACKET.sub(" ", text).replace("_", " ").casefold().split())
        name = same.get(plain, plain)
        if name and name in names:
            raise TableError(
                what=f"{path.name}, row {line}, headings",
                read=f"“{text}” and another for the same",
                allowed="one heading for each thing",
                do="Rename or remove one of the two.",
            )
        names.append(name)
        if bracket:
            units[name] = bracket[1]
    return names, units


def _text(path: Path) -> str:
    try:
        size = path.stat().st_size
        data = path.read_bytes() if size <= MOST_BYTES else b""
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise FileError(
            what=str(path),
            read="a folder" if path.is_dir() else reason,
            allowed="a CSV file",
            do="Check the name, and who may read it.",
        ) from error
    if size > MOST_BYTES:
        raise FileError(
            what=path.name,
            read=f"{size} bytes",
            allowed=f"up to {MOST_BYTES}",
            do="Name the small table that holds the ranges.",
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        # What older spreadsheet programs write.
        text = data.decode("cp1252", errors="replace")
    if "\x00" in text:
        raise FileError(
            what=path.name,
            read="bytes that are no text",
            allowed="a CSV file, which is text",
            do="Save the table as CSV.",
        )
    return text
