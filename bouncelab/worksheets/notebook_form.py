"""A sheet as a notebook to fill in."""

from __future__ import annotations

import base64
import json
from collections.abc import Iterator
from io import BytesIO
from typing import Any

from bouncelab.typesetting.making import PaperError, draw_png
from bouncelab.typesetting.paper import plain, table
from bouncelab.worksheets.answers import Answer
from bouncelab.worksheets.filling import asides, body
from bouncelab.worksheets.insets import Drawing
from bouncelab.worksheets.paper_form import marks_of
from bouncelab.worksheets.running import Variant
from bouncelab.worksheets.source import Source

__all__ = ["answer_label", "notebook_bytes", "png"]

_BOOK = {
    "kernelspec": {
        "display_name": "Python 3",
        "language": "python",
        "name": "python3",
    },
    "language_info": {"name": "python"},
}
_IN_HAND = (
    "## When you are done\n\nSave this notebook under the name that it has (Ctrl+S, "
    "or ⌘S on a Mac) and hand it in as your teacher asks. Only what you typed in the "
    "boxes is read."
)


def notebook_bytes(source: Source, variant: Variant, student: str = "") -> bytes:
    """Give a sheet as a notebook.

    Parameters
    ----------
    source : Source
        Its text.
    variant : Variant
        Its numbers.
    student : str, optional
        Whose it is.

    Returns
    -------
    bytes
        Nothing of its answers is in it. Each answer has a cell of plain text, which
        no one can run, with the question's name in its metadata.

    Raises
    ------
    NotebookError
        If a place in the text cannot be filled.
    """
    whose = f"Name: **{plain(student)}**" if student else "Name:"
    cells = [
        _markdown("title", f"# {source.title}\n\n{whose} · Code {variant.code}"),
        *_cells(source, variant),
    ]
    hints = asides(source, variant, "hint")
    if hints:
        told = [
            f"**For {number}:** {text}" if number else text for number, text in hints
        ]
        cells.append(_markdown("hints", "\n\n".join(["## Hints", *told])))
    cells.append(_markdown("hand-in", _IN_HAND))
    book = {
        "cells": cells,
        "metadata": {
            **_BOOK,
            "bouncelab": {"sheet": source.title, "code": variant.code},
        },
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    return (json.dumps(book, ensure_ascii=False, indent=1) + "\n").encode()


def _cells(source: Source, variant: Variant) -> Iterator[dict[str, Any]]:
    texts: list[str] = []
    pictures: dict[str, Any] = {}
    count = 0
    for block in body(source, variant):
        if block.kind == "text":
            texts.append(block.content)
        elif block.kind == "table":
            found = variant.tables[block.content]
            caption = [f"**{found.caption}**"] if found.caption else []
            texts += [*caption, table(found.headings, found.rows)]
        elif block.kind == "picture":
            drawing = variant.drawings[block.content]
            file = f"{block.content}.png"
            data = base64.b64encode(png(drawing)).decode()
            pictures[file] = {"image/png": data}
            words = plain(drawing.picture.words)
            texts += [f"![{words}](attachment:{file})", drawing.caption]
        else:
            asked = variant.answers[block.content]
            count += 1
            texts.append(answer_label(asked))
            yield _markdown(f"text-{count}", "\n\n".join(filter(None, texts)), pictures)
            yield {
                "cell_type": "raw",
                "id": f"answer-{asked.question.replace('_', '-')}"[:64],
                "metadata": {
                    "bouncelab": {"question": asked.question},
                    "tags": ["answer"],
                },
                "source": "",
            }
            texts, pictures = [], {}
    if texts:
        yield _markdown("text-last", "\n\n".join(filter(None, texts)), pictures)


def answer_label(asked: Answer) -> str:
    """Say what to type in the box of an answer.

    Parameters
    ----------
    asked : Answer
        The question.

    Returns
    -------
    str
        Markdown.
    """
    label, marks = f"**{asked.number}**", f"({marks_of(asked)})"
    if asked.kind == "number":
        before = f"{asked.symbol} = ? " if asked.symbol else ""
        return (
            f"{label} {before}*Type your answer in the box below, with its unit if it "
            f"has one.* {marks}"
        )
    if asked.kind == "choice":
        ways = " / ".join(f"**{plain(each)}**" for each in asked.choices)
        before = f"{asked.symbol} " if asked.symbol else ""
        return f"{label} {before}*Type one of these in the box below:* {ways} {marks}"
    if asked.kind == "words":
        return f"{label} *Answer in your own words in the box below.* {marks}"
    return (
        f"{label} *Draw on paper and hand it in, or say in the box below what your "
        f"drawing shows.* {marks}"
    )


def png(drawing: Drawing) -> bytes:
    """Give a figure as PNG for a notebook; the same figure gives the same bytes.

    Parameters
    ----------
    drawing : Drawing
        The figure.

    Returns
    -------
    bytes
        Through typst where it is installed: it is several times as fast.
    """
    drawn = drawing.picture.figure
    width, height = drawn.get_size_inches()
    try:
        return draw_png(drawing.svg, width=width, height=height)
    except PaperError:
        out = BytesIO()
        drawn.savefig(out, format="png", metadata={"Software": None})
        return out.getvalue()


def _markdown(
    name: str, text: str, pictures: dict[str, Any] | None = None
) -> dict[str, Any]:
    cell: dict[str, Any] = {
        "cell_type": "markdown",
        "id": name,
        "metadata": {},
        "source": text.splitlines(keepends=True),
    }
    if pictures:
        cell["attachments"] = pictures
    return cell
