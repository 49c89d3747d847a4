"""What the tape said in the class's table, for the sound lab to compare with."""

from __future__ import annotations

import os
from pathlib import Path

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import bounciness
from bouncelab.readings.checks import check_drops
from bouncelab.readings.drops import Drops, read_rows
from bouncelab.readings.files import read_drops
from bouncelab.readings.journal import Journal
from bouncelab.readings.sheet import Sheet
from bouncelab.units import show_pressure

__all__ = ["Tapes", "drops_of"]


def drops_of(sheet: Sheet) -> Drops:
    """Give the drops of a sheet, checked.

    Parameters
    ----------
    sheet : Sheet
        What was typed or sent.

    Returns
    -------
    Drops
        With every row in which a drop stands.

    Examples
    --------
    >>> len(drops_of(Sheet()).table)
    0
    """
    lines, rows = sheet.table()
    return check_drops(read_rows(sheet.headings(), rows, lines=lines))


class Tapes:
    """The results that a tape gave, of the class and of one's own group.

    Parameters
    ----------
    own : pathlib.Path
        The journal of the group's own sheet; it need not be there.
    class_file : path-like, optional
        The class's table.

    Raises
    ------
    FileError
        If the class's table cannot be read.
    """

    def __init__(
        self, own: Path, class_file: str | os.PathLike[str] | None = None
    ) -> None:
        self._own = own
        self._class: list[BallBounce] = []
        if class_file is not None:
            self._class = _rows(check_drops(read_drops(class_file)))
        self._state: tuple[int, int] | None = None
        self._ours: list[BallBounce] = []

    def rows(self) -> dict[str, BallBounce]:
        """Give each result by a name that lasts, the group's own first."""
        self._look()
        ours = {f"ours: {_name(row)}": row for row in self._ours}
        return ours | {f"the class's: {_name(row)}": row for row in self._class}

    def _look(self) -> None:
        """Read the group's own sheet again if it has changed."""
        state = None
        if self._own.exists():
            told = self._own.stat()
            state = (told.st_mtime_ns, told.st_size)
        if state != self._state:
            self._state = state
            sheet = Journal(self._own).sheet if state else Sheet()
            self._ours = _rows(drops_of(sheet)) if sheet.table()[1] else []


def _rows(drops: Drops) -> list[BallBounce]:
    return [row for row in bounciness(drops).rows if row.n]


def _name(row: BallBounce) -> str:
    known = row.gauge_pressure
    pressure = "" if known is None else f", {show_pressure(known)}"
    return f"{row.ball}, {row.floor}{pressure}, {row.drop_height:.2f} m"
