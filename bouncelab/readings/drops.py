"""The table of drops: one row is one drop, in SI units, beside what was typed."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import zip_longest
from typing import Any

import numpy as np
import pandas as pd

from bouncelab.readings.cells import NEEDED, ColumnReader, Finding, objects
from bouncelab.readings.headings import Heading, match_headings
from bouncelab.units import STANDARD_ATMOSPHERE_PA

__all__ = [
    "COLUMNS",
    "Drops",
    "Finding",
    "read_columns",
    "read_rows",
    "with_findings",
]

COLUMNS = {
    "group": "str",
    "ball": "str",
    "floor": "str",
    "trial": "Int64",
    "drop_height_m": "float64",
    "drop_point": "str",
    "rebound_height_m": "float64",
    "rebound_point": "str",
    "diameter_m": "float64",
    "gauge_pressure_pa": "float64",
    "temperature_c": "float64",
    "when": "str",
    "note": "str",
    "method": "str",
    "flag": "str",
    "why": "str",
}


@dataclass(frozen=True)
class Drops:
    """A table of drops with everything needed to trace and write it back.

    Attributes
    ----------
    table : pandas.DataFrame
        Index ``row`` (the line a person sees), columns `COLUMNS`.
    typed : pandas.DataFrame
        Same index; one text column for each heading of the source, as typed.
    headings : dict of str to str
        Table column to the column of `typed` that feeds it.
    findings : tuple of Finding
        In the order of rows.
    remarks : tuple of str
        What was taken for granted for the whole table, in plain sentences.
    source : str
        The file's name, or an empty text.
    layout : object
        How the file was laid out, for writing it back; None if there was none.
    """

    table: pd.DataFrame
    typed: pd.DataFrame
    headings: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    remarks: tuple[str, ...] = ()
    source: str = ""
    layout: Any = None


_YES = {"yes", "y", "x", "true", "1", "ja", "oui", "si", "sí", "set aside", "set_aside"}
_TEXTS = ("group", "ball", "floor", "when", "note", "method")


def read_rows(
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    lines: Sequence[int] | None = None,
    source: str = "",
    layout: Any = None,
    atmospheric_pressure: float = STANDARD_ATMOSPHERE_PA,
) -> Drops:
    """Read a table of texts; keep every row, whatever stands in it.

    Parameters
    ----------
    headings : sequence of str
        One for each column, in any order, with units in brackets where bare
        numbers stand below.
    rows : sequence of sequence of str
        The cells as typed; a short row is filled up with blanks.
    lines : sequence of int, optional
        The line that a person sees each row in; 1, 2, … if left out.
    source : str, optional
        The file's name, for messages.
    layout : object, optional
        Kept for writing the table back.
    atmospheric_pressure : float, optional
        In Pa, taken off pressures that are said to be absolute.

    Returns
    -------
    Drops
        The table, what was typed, and a finding for each cell that cannot be
        read.

    Raises
    ------
    TableError
        If a height has no heading, or two headings claim one column.

    Examples
    --------
    >>> drops = read_rows(
    ...     ["ball", "drop height (cm)", "rebound"], [["A", "180", "1 m"]]
    ... )
    >>> drops.table[["drop_height_m", "rebound_height_m"]].values.tolist()
    [[1.8, 1.0]]
    """
    columns = list(zip_longest(*rows, fillvalue=""))
    columns += [("",) * len(rows)] * (len(headings) - len(columns))
    return read_columns(
        headings,
        columns,
        lines=range(1, len(rows) + 1) if lines is None else lines,
        source=source,
        layout=layout,
        atmospheric_pressure=atmospheric_pressure,
    )


def read_columns(
    headings: Sequence[str],
    columns: Sequence[Sequence[str]],
    *,
    lines: Sequence[int],
    source: str = "",
    layout: Any = None,
    atmospheric_pressure: float = STANDARD_ATMOSPHERE_PA,
) -> Drops:
    """Read a table of texts that stands in columns; as `read_rows`, but faster.

    Parameters
    ----------
    headings : sequence of str
        One for each column; columns further right have none.
    columns : sequence of sequence of str
        The cells as typed, all of one length, at least one for each heading.
    lines : sequence of int
        The line that a person sees each row in.
    source, layout, atmospheric_pressure : optional
        As in `read_rows`.

    Returns
    -------
    Drops
        As from `read_rows`.

    Examples
    --------
    >>> columns = [["180", "180"], ["110", "112"]]
    >>> drops = read_columns(["drop (cm)", "rebound (cm)"], columns, lines=[2, 3])
    >>> drops.table["rebound_height_m"].tolist()
    [1.1, 1.12]
    """
    count = len(lines)
    names = _unique([*headings, *[""] * (len(columns) - len(headings))])
    found = match_headings(headings)
    index = pd.Index(np.asarray(lines, dtype="int64"), name="row")
    reader = ColumnReader(index.to_numpy(), atmospheric_pressure)
    place = {heading.column: at for at, heading in enumerate(found) if heading.column}
    values: dict[str, Any] = {}
    for column, kind in COLUMNS.items():
        if column in ("flag", "why"):
            values[column] = np.full(count, "", dtype=object)
        elif column in _TEXTS:
            texts = columns[place[column]] if column in place else [""] * count
            bare = {text: text.strip() for text in set(texts)}
            values[column] = objects(map(bare.__getitem__, texts))
        elif column.endswith("_point"):
            said = place.get(column)
            values[column] = reader.points(
                column, None if said is None else columns[said], found
            )
        elif column in place:
            at = place[column]
            values[column] = reader.numbers(column, columns[at], found[at])
        else:
            values[column] = np.full(count, np.nan)
        if column == "trial":
            values[column] = pd.array(values[column], dtype="Int64")
        elif kind == "float64":
            values[column] = np.asarray(values[column], dtype="float64")
    if "circumference" in place:
        at = place["circumference"]
        around = reader.numbers("circumference", columns[at], found[at]) / math.pi
        typed_size = columns[place.get("diameter_m", at)]
        values["diameter_m"] = reader.one_size(values["diameter_m"], around, typed_size)
    table = pd.DataFrame(
        {c: v if c == "trial" else _kept(v) for c, v in values.items()}, index=index
    )
    typed = pd.DataFrame(
        {n: _kept(objects(c)) for n, c in zip(names, columns, strict=True)},
        index=index,
    )
    if "set aside" in place or "flag" in place:
        _set_aside(table, columns, place)
    fed = {h.column: names[at] for at, h in enumerate(found) if h.column}
    if "circumference" in fed:
        fed.setdefault("diameter_m", fed["circumference"])
    remarks = (*_taken_for_granted(fed, found), *reader.remarks)
    drops = Drops(table, typed, fed, (), remarks, source, layout)
    return with_findings(drops, reader.findings)


def _kept(values: Any) -> Any:
    # pandas 3 would turn text into its own type; an object array stays one.
    return pd.Series(values, dtype=object).array if values.dtype == object else values


def _unique(headings: Sequence[str]) -> list[str]:
    """Give each column a name of its own; blank headings get their number."""
    names: dict[str, None] = {}
    for at, heading in enumerate(headings, start=1):
        name = heading if heading.strip() else f"column {at}"
        while name in names:
            name += " "
        names[name] = None
    return list(names)


def _taken_for_granted(fed: dict[str, str], found: list[Heading]) -> tuple[str, ...]:
    pointed = {h.column.split("_")[0] for h in found if h.point}
    unsaid = [
        word
        for word in ("drop", "rebound")
        if f"{word}_point" not in fed and word not in pointed
    ]
    if not unsaid:
        return ()
    return (
        "The table does not say which point of the ball was read at the "
        f"{' and the '.join(unsaid)}; the bottom of the ball is taken.",
    )


def _set_aside(
    table: pd.DataFrame, columns: Sequence[Any], place: dict[str, int]
) -> None:
    marked = np.zeros(len(table), dtype=bool)
    if "set aside" in place:
        texts = columns[place["set aside"]]
        marked |= np.array([t.strip().casefold() in _YES for t in texts], dtype=bool)
    if "flag" in place:
        texts = columns[place["flag"]]
        marked |= np.array([t.strip() == "set_aside" for t in texts], dtype=bool)
    table.loc[marked, "flag"] = "set_aside"


def with_findings(drops: Drops, findings: Iterable[Finding]) -> Drops:
    """Add findings, and write flag and reason anew; no number is touched.

    Parameters
    ----------
    drops : Drops
        A table.
    findings : iterable of Finding
        What else was noticed; one that is there already is not added again.

    Returns
    -------
    Drops
        The table with flags: ``set_aside`` where a person decided so,
        ``left_out`` where a needed reading cannot be read or be true,
        ``doubtful`` where something else was noticed, else empty.

    Examples
    --------
    >>> drops = read_rows(["drop (cm)", "rebound (cm)"], [["180", "11O"]])
    >>> drops.table["flag"].tolist()
    ['left_out']
    """
    every = list(dict.fromkeys([*drops.findings, *findings]))
    every.sort(key=lambda finding: finding.row)
    table = drops.table.copy(deep=False)
    flag, why = table["flag"].to_numpy(copy=True), objects([""] * len(table))
    kept = flag == "set_aside"
    flag[:] = ""
    if every:
        at = table.index.get_indexer([finding.row for finding in every])
        for position, finding in zip(at, every, strict=True):
            why[position] = f"{why[position]} {finding.why}".strip()
            out = finding.weight != "doubtful" and finding.column in NEEDED
            if out or flag[position] == "":
                flag[position] = "left_out" if out else "doubtful"
    flag[kept] = "set_aside"
    table["flag"], table["why"] = _kept(flag), _kept(why)
    return replace(drops, table=table, findings=tuple(every))
