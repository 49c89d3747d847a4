"""A source: the notebook of which every student gets another sheet."""

from __future__ import annotations

import ast
import io
import json
import re
import tokenize
from dataclasses import dataclass
from functools import cached_property, lru_cache
from pathlib import Path
from types import CodeType
from typing import Any

from bouncelab.batches import fingerprint
from bouncelab.errors import FileError, NotebookError
from bouncelab.places import kit_folder

__all__ = ["Cell", "Source", "parse_source", "read_source"]

_MOST_BYTES = 20_000_000
_ROLE = re.compile(r"\s*#{1,6}\s*(hint|working|for the teacher)\b", re.IGNORECASE)
_ROLES = {"hint": "hint", "working": "working", "for the teacher": "teacher"}
_MARKS = re.compile(r"[*_`$\\]")
_TITLE = re.compile(r"^#\s+(.+?)\s*$", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a source.

    Attributes
    ----------
    kind : {"code", "text", "hint", "working", "teacher"}
        A code cell; or Markdown by whom it is for: the student, or the key.
    id : str
        For messages.
    text : str
        As it stands there.
    """

    kind: str
    id: str
    text: str


@dataclass(frozen=True)
class Source:
    """A notebook of which sheets are made.

    Attributes
    ----------
    name : str
        Its file's name, for messages.
    data : bytes
        The file.
    cells : tuple of Cell
        In their order, without empty ones.
    """

    name: str
    data: bytes
    cells: tuple[Cell, ...]

    @cached_property
    def title(self) -> str:
        """The first heading without marks, or the file's name without one."""
        for cell in self.cells:
            found = _TITLE.search(cell.text) if cell.kind == "text" else None
            if found:
                return _MARKS.sub("", found[1])
        return Path(self.name).stem

    @cached_property
    def fingerprint(self) -> str:
        """A short text that differs when the file does."""
        return fingerprint(self.data)

    @cached_property
    def ranges(self) -> str:
        """The code that draws the givens, without remarks: what a code stands for."""
        return "\n".join(
            _bare(cell.text)
            for cell in self.cells
            if cell.kind == "code" and ".draw(" in cell.text
        )

    @cached_property
    def compiled(self) -> tuple[tuple[Cell, CodeType], ...]:
        """The code cells, ready to run.

        Raises
        ------
        NotebookError
            If a cell is no Python.
        """
        return tuple(
            (cell, self._compile(cell)) for cell in self.cells if cell.kind == "code"
        )

    def _compile(self, cell: Cell) -> CodeType:
        try:
            tree = ast.parse(cell.text, filename=f"cell {cell.id}")
            return compile(tree, f"cell {cell.id}", "exec")
        except (SyntaxError, ValueError) as error:
            line = getattr(error, "lineno", None)
            raise NotebookError(
                what=f"{self.name}, cell {cell.id}"
                + (f", line {line}" if line else ""),
                read=getattr(error, "msg", None) or str(error),
                allowed="Python alone, without commands that begin with % or !",
                do="Mend the cell: run it in the notebook to see where it fails.",
            ) from error


def _bare(code: str) -> str:
    """Give code without remarks and without the way it is broken into lines."""
    aside = (tokenize.COMMENT, tokenize.NL, tokenize.NEWLINE, tokenize.INDENT)
    try:
        return " ".join(
            token.string
            for token in tokenize.generate_tokens(io.StringIO(code).readline)
            if token.type not in aside and token.string
        )
    except (tokenize.TokenError, SyntaxError):
        return code


def read_source(path: Path | str) -> Source:
    """Read a source.

    Parameters
    ----------
    path : pathlib.Path or str
        A notebook, or the name of one of the kit's worksheets, with or without the
        age that it begins with.

    Returns
    -------
    Source
        Its cells by what they are for.

    Raises
    ------
    FileError
        If it cannot be read.
    NotebookError
        If it is no notebook.
    """
    place = Path(path)
    if not place.is_file():
        place = _of_the_kit(place)
    try:
        with place.open("rb") as file:
            data = file.read(_MOST_BYTES + 1)
    except OSError as error:
        raise FileError(
            what=str(place),
            read=(error.strerror or type(error).__name__).lower(),
            allowed="a notebook that may be read",
            do="Check the name, and who may read it.",
        ) from error
    return parse_source(place.name, data)


def _of_the_kit(place: Path) -> Path:
    folder = kit_folder("notebooks") / "worksheets"
    known = sorted(each.stem for each in folder.glob("*.ipynb"))
    name = str(place).removesuffix(".ipynb")
    meant = [each for each in known if name in (each, each.split("_", 2)[-1])]
    if len(meant) == 1:
        return folder / f"{meant[0]}.ipynb"
    raise FileError(
        what=str(place),
        read="a folder" if place.is_dir() else "no such file",
        allowed=f"a notebook, or one of the kit's: {', '.join(known)}",
        do="Check the name and the folder.",
    )


@lru_cache(maxsize=8)
def parse_source(name: str, data: bytes) -> Source:
    """Read a source from what its file holds.

    Parameters
    ----------
    name : str
        The file's name.
    data : bytes
        A notebook.

    Returns
    -------
    Source
        The same one for the same bytes, so that its code is compiled once.

    Raises
    ------
    NotebookError
        If it is no notebook.
    """
    try:
        if len(data) > _MOST_BYTES:
            raise _no_notebook(name, f"more than {_MOST_BYTES / 1e6:.0f} MB")
        read = json.loads(data.decode("utf-8-sig"))
        cells = tuple(_cells(read["cells"]))
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        if isinstance(error, NotebookError):
            raise
        raise _no_notebook(name, "no cells") from error
    if not any(cell.kind == "code" for cell in cells):
        raise _no_notebook(name, "a notebook without a code cell")
    return Source(name, data, cells)


def _cells(found: list[dict[str, Any]]) -> list[Cell]:
    made = []
    for place, each in enumerate(found, start=1):
        text = each["source"]
        text = text if isinstance(text, str) else "".join(text)
        kind, name = each["cell_type"], str(each.get("id") or place)
        if not text.strip() or kind not in ("code", "markdown"):
            continue
        if kind == "markdown":
            role = _ROLE.match(text)
            kind = _ROLES[role[1].lower()] if role else "text"
        made.append(Cell(kind, name, text))
    return made


def _no_notebook(name: str, read: str) -> NotebookError:
    return NotebookError(
        what=name,
        read=read,
        allowed="a notebook (.ipynb) with text, a cell that draws the givens, and "
        "cells that work out the answers",
        do="Start from one of the kit's worksheets.",
    )
