"""What in a class's table may be personal, and how it is kept out of a report."""

from __future__ import annotations

import re
from dataclasses import replace

from bouncelab.readings.drops import Drops

__all__ = ["without_names"]

_PERSONS = re.compile(r"\b(pupil|student|name|child|learner)", re.IGNORECASE)


def without_names(drops: Drops) -> Drops:
    """Give numbers to groups where their column names persons.

    Parameters
    ----------
    drops : Drops
        A class's table, checked.

    Returns
    -------
    Drops
        With Group 1, Group 2 and so on, in the order of the table, where the column's
        heading speaks of pupils, students or names; else as it is.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["Kim and Lee", "1 m", "62 cm"], ["Sam", "1 m", "64 cm"]]
    >>> drops = read_rows(["pupils", "drop", "rebound"], rows)
    >>> list(without_names(drops).table["group"])
    ['Group 1', 'Group 2']
    """
    if not _PERSONS.search(drops.headings.get("group", "")):
        return drops
    whole = drops.table.copy()
    names = whole["group"].astype("str")
    kept = [name for name in dict.fromkeys(names) if name.strip()]
    number = {name: f"Group {k}" for k, name in enumerate(kept, start=1)}
    whole["group"] = [number.get(name, name) for name in names]
    return replace(drops, table=whole.astype({"group": drops.table["group"].dtype}))
