"""What stands between the text of a sheet: figures and tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from bouncelab.errors import BounceLabError, NotebookError
from bouncelab.figures.picture import Picture

__all__ = ["Drawing", "Table"]


@dataclass(frozen=True)
class Drawing:
    """A figure of a sheet, drawn once, when a form needs it.

    Attributes
    ----------
    make : callable
        Draws it.
    caption : str
        A line below it, Markdown.
    width : str
        Such as ``"10cm"``.
    """

    make: Callable[[], Picture]
    caption: str
    width: str

    @cached_property
    def picture(self) -> Picture:
        """The figure with its words.

        Raises
        ------
        NotebookError
            If it cannot be drawn.
        """
        try:
            return self.make()
        except Exception as error:
            told = str(error) if isinstance(error, BounceLabError) else repr(error)
            raise NotebookError(
                what="a figure of the source",
                read=" ".join(told.split()),
                allowed="one that can be drawn for all givens that can be drawn",
                do="Mend the cell with sheet.picture, or narrow the ranges.",
            ) from error

    @cached_property
    def svg(self) -> str:
        """The figure for paper, its letters as shapes."""
        return self.picture.svg(outlines=True)


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
