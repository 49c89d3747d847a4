"""The table of drops: one row is one drop, in SI units, beside what was typed."""

from __future__ import annotations

from dataclasses import dataclass, field

import pandas as pd

__all__ = ["COLUMNS", "Drops", "Finding"]

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
    "flag": "str",
    "why": "str",
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing about one cell that a person should look at.

    Attributes
    ----------
    row : int
        The line that a person sees in the file, or the row number on the screen.
    column : str
        The table's column, such as ``"rebound_height_m"``; empty for the whole row.
    read : str
        What was typed there, exactly.
    why : str
        The reason, in one plain sentence.
    cure : str
        What to try, in one plain sentence.
    check : str
        The short name of the check that found it, such as ``"unit slip"``.
    weight : {"unreadable", "impossible", "doubtful"}
        The first two leave the drop out of the estimates; a doubtful one stays
        in until a person sets it aside.
    """

    row: int
    column: str
    read: str
    why: str
    cure: str
    check: str
    weight: str


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
        Table column to the heading that feeds it.
    findings : tuple of Finding
        In the order of rows.
    remarks : tuple of str
        What was taken for granted for the whole table, in plain sentences.
    source : str
        The file's name, or an empty text.
    """

    table: pd.DataFrame
    typed: pd.DataFrame
    headings: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    remarks: tuple[str, ...] = ()
    source: str = ""
