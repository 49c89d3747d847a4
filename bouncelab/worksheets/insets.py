"""What stands between the text of a sheet: figures and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from bouncelab.figures.picture import Picture

__all__ = ["Drawing", "Table"]


@dataclass(frozen=True, slots=True)
class Drawing:
    """A figure of a sheet.

    Attributes
    ----------
    make : callable
        Draws it; called when a form needs it.
    caption : str
        A line below it, Markdown.
    width : str
        Such as ``"10cm"``.
    """

    make: Callable[[], Picture]
    caption: str
    width: str


@dataclass(frozen=True, slots=True)
class Table:
    """A table of a sheet; headings and cells are Markdown.

    Attributes
    ----------
    headings : tuple of str
        One for each column.
    rows : tuple of tuple of str
        Their cells.
    caption : str
        What the table shows.
    """

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    caption: str
