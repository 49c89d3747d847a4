"""Who gets a sheet: names from a table, as people keep them."""

from __future__ import annotations

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from bouncelab.errors import TableError
from bouncelab.readings.lines import Record, is_other, parse
from bouncelab.readings.opening import bytes_of, decode

__all__ = ["Student", "file_stem", "read_roster"]

_WHOLE = {"name", "student", "students", "pupil", "full name", "student name", "names"}
_FIRST = {"first name", "given name", "forename"}
_LAST = {"last name", "surname", "family name"}
_LONGEST = 100  # letters of a name
_LONGEST_FILE = 40
_JOINERS = "\u200c\u200d"  # without which some scripts are misspelt


@dataclass(frozen=True, slots=True)
class Student:
    """One student of a roster.

    Attributes
    ----------
    name : str
        As it will be printed.
    who : str
        What the sheet is drawn for; differs between two of the same name.
    """

    name: str
    who: str


def read_roster(path: Path) -> tuple[list[Student], list[str]]:
    """Read the names of a class.

    Parameters
    ----------
    path : pathlib.Path
        CSV or XLSX with a column ``name``, or ``first name`` and ``last name``; or a
        plain list with a name on each line.

    Returns
    -------
    tuple of (list of Student, list of str)
        In the order of the file; and a line for each row that needs a person's eye.
        Two students of the same name each get a sheet.

    Raises
    ------
    FileError
        If it cannot be read.
    TableError
        If it has no column of names.
    """
    records = [each for each in _records(path) if not is_other(each.cells)]
    if not records:
        raise _no_names(path, "no row")
    columns = _columns(records[0].cells)
    alone = sum(map(bool, records[0].cells)) == 1
    if columns:
        records = records[1:]
    elif any(sum(map(bool, each.cells)) > 1 for each in records):
        raise _no_names(path, f"the headings {', '.join(records[0].cells)[:80]}")
    else:
        columns = [0]
    students: list[Student] = []
    told: list[str] = []
    seen: dict[str, int] = {}
    for line, _, cells in records:
        # A comma inside a name that nobody put in quotes parts no columns.
        taken = cells if alone else [cells[k] for k in columns if k < len(cells)]
        joint = ", " if alone else " "
        name = _tidy(joint.join(each.strip() for each in taken if each.strip()))
        where = f"{path.name}, line {line}"
        if not name:
            told.append(f"{where}: no name stands there; no sheet was made for it.")
        elif len(name) > _LONGEST:
            told.append(
                f"{where}: “{name[:30]}…” has {len(name)} letters, more than "
                f"{_LONGEST}; no sheet was made for it. Shorten it."
            )
        else:
            same = seen[name.casefold()] = seen.get(name.casefold(), 0) + 1
            who = name.casefold() if same == 1 else f"{name.casefold()}|{same}"
            students.append(Student(name, who))
            if same > 1:
                told.append(
                    f"{where}: “{name}” stands here again and got one more sheet. If "
                    "it is another person, add a letter to tell them apart."
                )
    if not students:
        raise _no_names(path, "no name")
    return students, told


def _records(path: Path) -> list[Record]:
    data = bytes_of(path)
    if data[:4] == b"PK\x03\x04":
        from bouncelab.readings.workbook import read_workbook

        records, _, _ = read_workbook(path, data, _found)
        return records
    lines = decode(path, data).split("\n")
    first = next(line for line in lines if line.strip())
    delimiter = max(",;\t", key=first.count)
    return parse(lines, delimiter, list)


def _found(records: Sequence[Record]) -> tuple[int, int]:
    """Say how many columns of names a sheet of a workbook has, and where."""
    counts = [len(_columns(each.cells)) for each in records]
    best = max(counts, default=0)
    return best, counts.index(best) if best else -1


def _columns(cells: Sequence[str]) -> list[int]:
    named = [" ".join(each.replace("_", " ").split()).casefold() for each in cells]
    for wanted in (_WHOLE, _FIRST, _LAST):
        places = [k for k, each in enumerate(named) if each in wanted]
        if places and wanted is _WHOLE:
            return places[:1]
        if places:
            last = [k for k, each in enumerate(named) if each in _LAST]
            return places[:1] + [k for k in last[:1] if k != places[0]]
    return []


def _tidy(text: str) -> str:
    """Leave out what cannot be seen but would change how other text is shown."""
    kept = "".join(
        " " if unicodedata.category(each) in ("Cc", "Zl", "Zp") else each
        for each in unicodedata.normalize("NFC", text)
        if unicodedata.category(each) not in ("Cf", "Cs", "Co", "Cn")
        or each in _JOINERS
    )
    return " ".join(kept.split())


def file_stem(name: str, code: str) -> str:
    """Give a name for the files of a sheet that every system allows.

    Parameters
    ----------
    name : str
        Of a student, or what a blank sheet is called.
    code : str
        Of the sheet.

    Returns
    -------
    str
        Letters and digits of any script, with the code behind.

    Examples
    --------
    >>> file_stem("../Ann O'Hara", "K7QM3X-RD")
    'Ann_O_Hara_K7QM3X-RD'
    """
    kept = "".join(
        each if each.isalnum() or unicodedata.category(each)[0] == "M" else " "
        for each in name
    )
    return "_".join([*"_".join(kept.split())[:_LONGEST_FILE].split("_"), code]).strip(
        "_"
    )


def _no_names(path: Path, read: str) -> TableError:
    return TableError(
        what=path.name,
        read=read,
        allowed="a column “name”, or “first name” and “last name”; or one name a line",
        do="Write name above the names and save the roster as CSV or XLSX.",
    )
