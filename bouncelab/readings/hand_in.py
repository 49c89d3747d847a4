"""Everything a group typed, in one file to hand in."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator
from pathlib import Path

from bouncelab.errors import FileError
from bouncelab.places import write_whole
from bouncelab.readings.gathered import guarded
from bouncelab.readings.journal import Journal
from bouncelab.readings.sheet import Sheet

__all__ = ["entries", "hand_in"]

_NAMES = {
    "group": "group's name",
    "drop_point": "point read at the drop",
    "rebound_point": "point read at the rebound",
    "range": "range chosen",
    "prediction": "prediction",
    "reason": "reason for the prediction",
    "explanation": "explanation",
}


def entries(folder: str | os.PathLike[str]) -> Iterator[tuple[str, str, str]]:
    """Give what was typed in each notebook that keeps its entries in a folder.

    Parameters
    ----------
    folder : path-like
        Where the journals are.

    Yields
    ------
    tuple of str
        The notebook's name, what was asked for, and what was typed.

    Raises
    ------
    FileError
        If a journal cannot be read.
    """
    for path in sorted(Path(folder).glob("*.jsonl")):
        yield from ((path.stem, *each) for each in _of_sheet(Journal(path).sheet))


def _of_sheet(sheet: Sheet) -> Iterator[tuple[str, str]]:
    numbers, rows = sheet.table()
    for name, text in sheet.setup.items():
        asked = _NAMES.get(name) or name.removeprefix("answer-").replace("-", " ")
        if text.strip() and (name in _NAMES or name.startswith("answer-")):
            if name.endswith("_point") and not rows:
                continue
            yield asked, text
    for number, row in zip(numbers, rows, strict=True):
        # The group and the points stand above; the rest is what was typed.
        for heading, text in list(zip(sheet.headings(), row, strict=True))[1:]:
            if text.strip() and not heading.endswith("point"):
                yield f"row {number}, {heading}", text


def hand_in(
    folder: str | os.PathLike[str], *, name: str = "hand-in.csv"
) -> tuple[Path, int]:
    """Write everything that was typed into one CSV file.

    Parameters
    ----------
    folder : path-like
        Where the journals are, and where the file is put.
    name : str, optional
        The file's name.

    Returns
    -------
    tuple of (pathlib.Path, int)
        The file, and how many entries it holds.

    Raises
    ------
    FileError
        If nothing was typed yet, or the file cannot be written.

    Examples
    --------
    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as place:
    ...     step = {"do": "setup", "field": "answer-guess", "text": "80 cm"}
    ...     _ = Journal(Path(place) / "two-bodies.jsonl").step(step)
    ...     path, count = hand_in(place)
    ...     print(path.name, count)
    hand-in.csv 1
    """
    found = list(entries(folder))
    if not found:
        raise FileError(
            what="the file to hand in",
            read="no entry in any notebook",
            allowed="a prediction, a reading or an answer at least",
            do="Type something first.",
        )
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["notebook", "what", "typed"])
    writer.writerows([guarded(cell) for cell in each] for each in found)
    path = Path(folder) / name
    # The mark tells spreadsheet programs that it is UTF-8.
    write_whole(path, out.getvalue().encode("utf-8-sig", "replace"))
    return path, len(found)
