"""Filled sheets are data: notebooks read as text, tables of answers from paper."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from bouncelab.errors import FileError, NotebookError

__all__ = ["Filled", "read_filled", "read_table"]

_MOST = 300_000_000  # bytes of a notebook; outputs of this size were never typed
_LONG = 20_000  # letters of one answer that are kept
_CODE = re.compile(r"\b([2-9A-Z]{6}-[2-9A-Z]{2})\b")


@dataclass(frozen=True, slots=True)
class Filled:
    """What one student handed in.

    Attributes
    ----------
    file : str
        The file's name, or the line of a table.
    code : str
        Of the sheet; empty if none can be found.
    answers : dict of str to str
        What was written, by the question's name or printed number.
    notes : list of str
        What a teacher should know about the file.
    """

    file: str
    code: str
    answers: dict[str, str]
    notes: list[str] = field(default_factory=list)


def read_filled(path: Path) -> Filled:
    """Read a filled notebook; its code is never run and its outputs are passed over.

    Parameters
    ----------
    path : pathlib.Path
        The notebook.

    Returns
    -------
    Filled
        Answers by the questions' names, wherever their cells have been moved.

    Raises
    ------
    FileError
        If it cannot be read or is too large.
    NotebookError
        If it is no whole notebook.
    """
    try:
        if path.stat().st_size > _MOST:
            raise FileError(
                what=path.name,
                read=f"{path.stat().st_size} bytes",
                allowed=f"up to {_MOST}",
                do="Clear its outputs and save it again.",
            )
        data = path.read_bytes()
    except OSError as error:
        if isinstance(error, FileError):
            raise
        raise FileError(
            what=path.name,
            read=(error.strerror or type(error).__name__).lower(),
            allowed="a file that can be read",
            do="Look whether it is open elsewhere, or ask for it again.",
        ) from error
    try:
        book = json.loads(data)
        cells = book["cells"]
        if not isinstance(cells, list):
            raise TypeError
    except (ValueError, KeyError, TypeError, RecursionError) as error:
        raise NotebookError(
            what=path.name,
            read="no whole notebook; it may be cut off",
            allowed="the .ipynb file as the notebook program saves it",
            do="Ask for it again, or mark its paper.",
        ) from error
    return _filled(path, book, [each for each in cells if isinstance(each, dict)])


def _filled(path: Path, book: Mapping[str, Any], cells: Sequence[Any]) -> Filled:
    answers: dict[str, str] = {}
    notes: list[str] = []
    for cell in cells:
        question = _question(cell)
        if question is None:
            continue
        text = _source(cell)[:_LONG].strip()
        if question not in answers:
            answers[question] = text
        elif text and text != answers[question]:
            if answers[question]:
                notes.append(
                    f"Question {question} is answered twice: the first counts."
                )
            else:
                answers[question] = text
    return Filled(path.name, _code(path, book, cells), answers, notes)


def _question(cell: Mapping[str, Any]) -> str | None:
    told = cell.get("metadata")
    mine = told.get("bouncelab") if isinstance(told, dict) else None
    if isinstance(mine, dict) and isinstance(mine.get("question"), str):
        return str(mine["question"])
    name = cell.get("id")
    if isinstance(name, str) and name.startswith("answer-"):
        return name.removeprefix("answer-").replace("-", "_")
    return None


def _source(cell: Mapping[str, Any]) -> str:
    text = cell.get("source", "")
    if isinstance(text, list):
        text = "".join(each for each in text if isinstance(each, str))
    return text if isinstance(text, str) else ""


def _code(path: Path, book: Mapping[str, Any], cells: Sequence[Any]) -> str:
    told = book.get("metadata")
    mine = told.get("bouncelab") if isinstance(told, dict) else None
    if isinstance(mine, dict) and isinstance(mine.get("code"), str):
        return str(mine["code"])
    for cell in cells:
        if cell.get("cell_type") == "markdown":
            found = re.search(r"Code\W+" + _CODE.pattern, _source(cell)[:_LONG])
            if found:
                return found[1]
    found = _CODE.search(path.stem.replace("_", " "))
    return found[1] if found else ""


def read_table(
    name: str, headings: Sequence[str], rows: Iterable[Sequence[str]]
) -> list[Filled]:
    """Take answers from a table: typed from paper, or exported by a form.

    Parameters
    ----------
    name : str
        Of the file, for messages.
    headings : sequence of str
        One is ``code``; each other one names a question by number or name.
    rows : iterable of sequence of str
        One for each sheet.

    Returns
    -------
    list of Filled
        In the order of the table.

    Raises
    ------
    NotebookError
        If there is no column of codes.
    """
    plain = [_heading(each) for each in headings]
    if "code" not in plain:
        raise NotebookError(
            what=name,
            read=", ".join(headings) or "no headings",
            allowed="a column named code, and one for each question, such as 1, 2a",
            do="Name the column that holds the sheets' codes: code.",
        )
    at = plain.index("code")
    filled = []
    for line, row in enumerate(rows, start=2):
        cells = [*row, *[""] * (len(plain) - len(row))]
        code = cells[at].strip().upper()
        if not any(each.strip() for each in cells):
            continue
        answers = {
            heading: cell.strip()[:_LONG]
            for heading, cell in zip(plain, cells, strict=False)
            if heading and heading != "code"
        }
        filled.append(Filled(f"{name}, row {line}", code, answers))
    return filled


def _heading(text: str) -> str:
    """Give a heading as a question's number or name: “Question 2a” is 2a."""
    bare = " ".join(text.split())
    found = re.search(r"\b(\d{1,2}\s?[a-z]?)\b", bare)
    if re.fullmatch(r"(?i)code|sheet code|code of the sheet", bare):
        return "code"
    if found and re.match(r"(?i)(?:q(?:uestion)?\.?\s*)?\d", bare):
        return found[1].replace(" ", "").lower()
    return bare
