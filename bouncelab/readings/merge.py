"""Several tables of drops as one, each row still traceable to its file and line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pandas as pd

from bouncelab.readings.drops import COLUMNS, Drops, with_findings

__all__ = ["merge_drops", "traced"]

_FILE, _LINE = "file", "line in its file"
_NAMES = {
    "drop_height_m": "drop height",
    "drop_point": "drop point",
    "rebound_height_m": "rebound height",
    "rebound_point": "rebound point",
    "diameter_m": "diameter",
    "gauge_pressure_pa": "gauge pressure",
    "temperature_c": "temperature",
}


def merge_drops(parts: Sequence[tuple[str, Drops]], *, source: str = "") -> Drops:
    """Put tables together; each keeps its own headings' units.

    Parameters
    ----------
    parts : sequence of (str, Drops)
        Name and table of each file. A table without groups takes its file's name
        for them.
    source : str, optional
        What the whole is called.

    Returns
    -------
    Drops
        Rows numbered from 1. `typed` holds the texts of every file by common
        headings, and in ``file`` and ``line in its file`` where each stood.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> one = read_rows(["drop (cm)", "rebound (cm)"], [["180", "110"]])
    >>> two = read_rows(["drop (in)", "rebound (in)"], [["72", "44"]], lines=[9])
    >>> both = merge_drops([("oak", one), ("elm", two)])
    >>> both.table["group"].tolist(), both.typed["line in its file"].tolist()
    (['oak', 'elm'], ['1', '9'])
    """
    tables, texts, findings, remarks = [], [], [], []
    start = 1
    for name, drops in parts:
        count = len(drops.table)
        index = pd.RangeIndex(start, start + count, name="row")
        table = drops.table.set_axis(index)
        if not any(str(each).strip() for each in table["group"]):
            table["group"] = pd.Series([name] * count, dtype=object, index=index)
        tables.append(table)
        texts.append(_common(drops, name, index))
        places = dict(zip(drops.table.index, index, strict=True))
        findings += [replace(f, row=int(places[f.row])) for f in drops.findings]
        remarks += [f"{name}: {each}" for each in drops.remarks]
        start += count
    if not tables:
        empty = {c: pd.Series([], dtype=object) for c in COLUMNS}
        return Drops(pd.DataFrame(empty), pd.DataFrame(), source=source)
    typed = pd.concat(texts).fillna("")
    fed = {column: name for column, name in _headings().items() if name in typed}
    whole = Drops(
        table=pd.concat(tables),
        typed=typed,
        headings=fed,
        remarks=tuple(_once(remarks, len(parts))),
        source=source,
    )
    return with_findings(whole, findings)


def _headings() -> dict[str, str]:
    return {column: _NAMES.get(column, column) for column in COLUMNS}


def _common(drops: Drops, name: str, index: pd.Index) -> pd.DataFrame:
    """Give a file's texts under common headings."""
    kept = {
        _headings()[column]: np.asarray(drops.typed[heading], dtype=object)
        for column, heading in drops.headings.items()
        if column in COLUMNS and heading in drops.typed
    }
    kept[_FILE] = np.full(len(index), name, dtype=object)
    kept[_LINE] = np.array([str(each) for each in drops.table.index], dtype=object)
    return pd.DataFrame(kept, index=index, dtype=object)


def _once(remarks: Sequence[str], files: int) -> list[str]:
    """Say what all files share only once."""
    said: dict[str, list[str]] = {}
    for each in remarks:
        name, _, text = each.partition(": ")
        said.setdefault(text, []).append(name)
    return [
        text if len(names) == files else f"{', '.join(names)}: {text}"
        for text, names in said.items()
    ]


def traced(drops: Drops) -> Drops:
    """Say in each finding of a merged table in which file and line it stands.

    Parameters
    ----------
    drops : Drops
        Of `merge_drops`, checked.

    Returns
    -------
    Drops
        With the same numbers and flags.
    """
    if _FILE not in drops.typed:
        return drops
    where = {
        row: f"{name}, row {line}: "
        for row, name, line in zip(
            drops.typed.index, drops.typed[_FILE], drops.typed[_LINE], strict=True
        )
    }
    found = [replace(f, why=where.get(f.row, "") + f.why) for f in drops.findings]
    return with_findings(replace(drops, findings=()), found)
