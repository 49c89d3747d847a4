"""One example sheet with its key, as a notebook shows it."""

from __future__ import annotations

import base64
import os
from pathlib import Path
from typing import TYPE_CHECKING

from bouncelab.errors import BounceLabError
from bouncelab.typesetting.paper import plain, table
from bouncelab.worksheets.filling import body
from bouncelab.worksheets.key_paper import key_text
from bouncelab.worksheets.notebook_form import answer_label, png
from bouncelab.worksheets.running import solve
from bouncelab.worksheets.source import Source, read_source

if TYPE_CHECKING:
    from bouncelab.worksheets.running import Variant
    from bouncelab.worksheets.sheet import Sheet

__all__ = ["example", "preview"]

# Where Jupyter and another editor say which notebook a kernel belongs to.
_OPEN = ("JPY_SESSION_NAME", "__vsc_ipynb_file__")


def example(sheet: Sheet) -> str:
    """Give an example sheet with its key, for the source that is open.

    Parameters
    ----------
    sheet : Sheet
        After its cells have run.

    Returns
    -------
    str
        Markdown: the sheet as it was last saved; only its numbers where the
        notebook's file is not known.
    """
    source = _open_source()
    if source is None:
        return _numbers(sheet)
    drawn = {name: each.value for name, each in sheet.drawn.items()}
    try:
        return preview(source, solve(source, drawn, code=sheet.code))
    except BounceLabError as error:
        return f"{plain(str(error))}\n\n{_numbers(sheet)}"


def preview(source: Source, variant: Variant) -> str:
    """Give a sheet with its key as Markdown for a notebook.

    Parameters
    ----------
    source : Source
        Its text, as it was saved.
    variant : Variant
        Its numbers.

    Returns
    -------
    str
        Markdown.

    Raises
    ------
    NotebookError
        If a place in the text cannot be filled.
    """
    parts = [f"# {source.title}", f"Code {variant.code}"]
    for block in body(source, variant):
        if block.kind == "text":
            parts.append(block.content)
        elif block.kind == "answer":
            parts.append(answer_label(variant.answers[block.content]))
        elif block.kind == "table":
            found = variant.tables[block.content]
            parts.append(table(found.headings, found.rows))
        else:
            drawing = variant.drawings[block.content]
            data = base64.b64encode(png(drawing)).decode()
            parts.append(
                f"![{plain(drawing.picture.words)}](data:image/png;base64,{data})"
            )
            parts.append(drawing.caption)
    return "\n\n".join([*parts, "---", "# Its key", key_text(source, variant)])


def _open_source() -> Source | None:
    import sys

    main = vars(sys.modules.get("__main__", object))
    for name in _OPEN:
        place = os.environ.get(name) or main.get(name)
        if place and Path(place).suffix == ".ipynb":
            try:
                return read_source(Path(place))
            except BounceLabError:
                continue
    return None


def _numbers(sheet: Sheet) -> str:
    givens = [[name, str(each.shown)] for name, each in sheet.givens.items()]
    answers = [
        [name, str(each.shown) or "; ".join(each.expected), str(each.marks)]
        for name, each in sheet.answers.items()
    ]
    return "\n\n".join(
        [
            "Open this notebook in JupyterLab to see the whole sheet here; these are "
            "its numbers.",
            table(["given", "on this example"], givens),
            table(["question", "answer", "marks"], answers),
        ]
    )
