"""A source run for one sheet: its givens, answers, figures and worked steps."""

from __future__ import annotations

import re
import traceback
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from bouncelab.errors import BounceLabError, NotebookError
from bouncelab.worksheets.answers import Answer
from bouncelab.worksheets.givens import Given
from bouncelab.worksheets.insets import Drawing, Table
from bouncelab.worksheets.sheet import Sheet, current_sheet
from bouncelab.worksheets.source import Source

__all__ = ["PLACE", "SECTION", "Variant", "numbers", "solve", "solve_code"]

# What stands in a text for something that differs from sheet to sheet.
PLACE = re.compile(r"\{\{\s*(?:(answer|picture|table)\s+)?([A-Za-z_]\w*)\s*\}\}")
SECTION = re.compile(r"^##\s+(?:(\d+)\b)?", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Variant:
    """One sheet of a source, before it is written.

    Attributes
    ----------
    code : str
        Printed on it.
    drawn : mapping of str to object
        The drawn givens, in SI: from these the sheet can be made again.
    givens, steps : mapping of str to Given
        What the sheet shows, and what only the key shows.
    answers : mapping of str to Answer
        In the order in which they stand on the sheet.
    drawings, tables : mapping
        Of the sheet, by their names.
    """

    code: str
    drawn: Mapping[str, Any]
    givens: Mapping[str, Given]
    steps: Mapping[str, Given]
    answers: Mapping[str, Answer]
    drawings: Mapping[str, Drawing]
    tables: Mapping[str, Table]


def solve_code(source: Source, code: str) -> Variant:
    """Run a source for a code.

    Parameters
    ----------
    source : Source
        The teacher's.
    code : str
        As printed on a sheet.

    Returns
    -------
    Variant
        With all its answers.

    Raises
    ------
    NotebookError
        If a cell fails, or an answer has no place in the text.
    """
    return _run(source, Sheet(code))


def solve(
    source: Source,
    givens: Mapping[str, Any],
    earlier: Mapping[str, Any] | None = None,
    *,
    code: str = "",
) -> Variant:
    """Run a source for givens that are known.

    Parameters
    ----------
    source : Source
        The teacher's; its code is run.
    givens : mapping of str to object
        `Variant.drawn` of an earlier run.
    earlier : mapping of str to object, optional
        A student's own answers, numbers in SI: every later answer is worked out
        from these. One that cannot be (*e* above 1) is left out.
    code : str, optional
        The sheet's.

    Returns
    -------
    Variant
        Right by these answers.

    Raises
    ------
    NotebookError
        If the givens are those of another source, or a cell fails.
    """
    return _run(source, Sheet(code, givens, earlier), lenient=bool(earlier))


def _run(source: Source, sheet: Sheet, *, lenient: bool = False) -> Variant:
    names: dict[str, Any] = {"__name__": "worksheet"}
    token = current_sheet.set(sheet)
    try:
        for cell, code in source.compiled:
            try:
                exec(code, names)  # the teacher's own code, never a student's
            except Exception as error:
                if not lenient:
                    raise _failed(source, cell.id, sheet, error) from error
    finally:
        current_sheet.reset(token)
    places = numbers(source)
    if not lenient:
        _check_places(source, places, sheet)
    answers = {
        name: replace(sheet.answers[name], number=number)
        for name, number in places.items()
        if name in sheet.answers
    }
    return Variant(
        sheet.code,
        {name: each.value for name, each in sheet.drawn.items()},
        sheet.givens,
        sheet.steps,
        answers,
        sheet.drawings,
        sheet.tables,
    )


def _failed(source: Source, cell: str, sheet: Sheet, error: Exception) -> NotebookError:
    lines = [
        each.lineno
        for each in traceback.extract_tb(error.__traceback__)
        if each.filename == f"cell {cell}"
    ]
    where = f"{source.name}, cell {cell}" + (f", line {lines[-1]}" if lines else "")
    shown = ", ".join(f"{name} = {each.shown}" for name, each in sheet.drawn.items())
    drawn = f" (with {shown})" if shown else ""
    if isinstance(error, BounceLabError):
        return NotebookError(
            what=f"{where}: {error.what}",
            read=f"{error.read}{drawn}",
            allowed=error.allowed,
            do=error.do,
        )
    return NotebookError(
        what=where,
        read=f"{' '.join(repr(error).split())}{drawn}",
        allowed="a cell that runs for all givens that can be drawn",
        do="Mend the cell, or narrow the ranges.",
    )


@lru_cache(maxsize=32)
def _numbers(source_print: str, texts: tuple[str, ...]) -> dict[str, str]:
    found: dict[str, str] = {}
    sections: list[tuple[str, list[str]]] = [("", [])]
    for text in texts:
        marks = [(each.start(), "section", each[1]) for each in SECTION.finditer(text)]
        marks += [(each.start(), each[1], each[2]) for each in PLACE.finditer(text)]
        for _, kind, name in sorted(marks, key=lambda each: each[0]):
            if kind == "section":
                sections.append((name or "", []))
            elif kind == "answer":
                sections[-1][1].append(name)
    count = 0
    for said, questions in sections:
        if not questions:
            continue
        count = int(said) if said else count + 1
        for place, question in enumerate(questions):
            letter = chr(ord("a") + place) if len(questions) > 1 else ""
            found.setdefault(question, f"{count}{letter}")
    return found


def numbers(source: Source) -> dict[str, str]:
    """Give the printed number of each question, in the order of the sheet.

    Parameters
    ----------
    source : Source
        Its ``##`` headings count; questions under one heading get letters.

    Returns
    -------
    dict of str to str
        Such as ``{"e": "1", "lost": "2a"}``.
    """
    texts = tuple(cell.text for cell in source.cells if cell.kind == "text")
    return _numbers(source.fingerprint, texts)


def _check_places(source: Source, places: Mapping[str, str], sheet: Sheet) -> None:
    nowhere = [name for name in sheet.answers if name not in places]
    unknown = [name for name in places if name not in sheet.answers]
    if nowhere:
        raise NotebookError(
            what=f"{source.name}, question “{nowhere[0]}”",
            read="no place for its answer in the text",
            allowed=f"{{{{answer {nowhere[0]}}}}} on a line of its own",
            do="Write it where the student shall answer.",
        )
    if unknown:
        raise NotebookError(
            what=f"{source.name}, {{{{answer {unknown[0]}}}}}",
            read="a place for an answer that no cell declares",
            allowed=", ".join(sheet.answers) or "none so far",
            do="Declare it with sheet.answer, or take the place out.",
        )
