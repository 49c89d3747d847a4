"""Files of one folder that hold the same drops: saved twice, or an older state."""

from __future__ import annotations

import re
from collections.abc import Mapping
from itertools import combinations
from pathlib import Path
from typing import TypeAlias

from bouncelab.readings.drops import COLUMNS, Drops

__all__ = ["Rows", "file_rows", "saved_twice"]

Rows: TypeAlias = tuple[tuple[str, ...], ...]

_FEW = 3  # rows; fewer may be alike by chance
_COPY = re.compile(r"^copy of |[\s_-]*(\(\d+\)|copy(\s*\d+)?)\s*$")


def file_rows(drops: Drops) -> Rows:
    """Give a file's drops in a form that can be set beside another file's.

    Parameters
    ----------
    drops : Drops
        As read, in whatever units and layout.

    Returns
    -------
    tuple of tuple of str
        A row for each drop, the group's name first.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> one = read_rows(["drop (cm)", "rebound (cm)"], [["180", "110"]])
    >>> two = read_rows(["drop (m)", "rebound (m)"], [["1.80", "1.10"]])
    >>> file_rows(one) == file_rows(two)
    True
    """
    columns = []
    for name, kind in COLUMNS.items():
        if name in ("flag", "why"):
            continue
        values = drops.table[name].tolist()
        if kind == "float64":
            columns.append([f"{each:.9g}" for each in values])
        else:
            columns.append([str(each).strip() for each in values])
    return tuple(zip(*columns, strict=True))


def saved_twice(files: Mapping[str, Rows]) -> tuple[set[str], list[str]]:
    """Find files that hold what another one holds.

    Parameters
    ----------
    files : mapping of str to Rows
        Name of each file, with its ending, and its rows.

    Returns
    -------
    tuple of (set of str, list of str)
        The files that do not count, and a sentence for each file that is like
        another. A file counts unless the other one has all its rows, in their order,
        and is of the same group: both name it, or their names differ as those of
        copies do. So two groups that read the same keep their readings.

    Examples
    --------
    >>> rows = (("", "A", "1.8"), ("", "A", "1.7"))
    >>> saved_twice({"oak.csv": rows[:1], "oak (1).csv": rows})[0]
    {'oak.csv'}
    >>> saved_twice({"oak.csv": rows, "elm.csv": rows})[0]
    set()
    """
    out: set[str] = set()
    said = []
    for a, b in combinations(files, 2):
        if a in out or b in out:
            continue
        kept, other = (a, b) if len(files[a]) >= len(files[b]) else (b, a)
        rows = files[other]
        if not rows or files[kept][: len(rows)] != rows:
            continue
        equal = len(files[kept]) == len(rows)
        copy = _plain(a) == _plain(b)
        ours = all(row[0] for row in rows) and len(rows) >= _FEW
        if copy or ours:
            out.add(other)
            said.append(
                f"{other} is the same as {kept}: counted only once."
                if equal
                else f"{other} is an older state of {kept}: only the newer one counts."
            )
        elif equal and len(rows) >= _FEW:
            said.append(
                f"{other} and {kept} hold the same readings, and both count: if one "
                "is a copy, take it out of the folder."
            )
    return out, said


def _plain(name: str) -> str:
    """Give a file's name without its ending and what marks a copy."""
    text, before = Path(name).stem.casefold(), ""
    while text != before:
        before, text = text, _COPY.sub("", text)
    return text
