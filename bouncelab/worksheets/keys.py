"""The key as a table: a row for each question of each sheet."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, fields
from pathlib import Path
from typing import Any

from bouncelab.errors import TableError
from bouncelab.readings.opening import bytes_of, decode
from bouncelab.worksheets.running import Variant

__all__ = ["KeyRow", "key_bytes", "key_rows", "parse_key", "read_key"]

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "'")


@dataclass(frozen=True, slots=True)
class KeyRow:
    """One question of one sheet.

    Attributes
    ----------
    code, student, file : str
        The sheet, whose it is, and the stem of its files' names.
    number, question, kind : str
        As printed, as the source calls it, and what is written.
    answer : float or str or None
        In `unit`, not rounded; the right words of a choice.
    shown : str
        Rounded, with its unit.
    unit, quantity : str
        As asked.
    tolerance : float
        What a number may be off by, in `unit`.
    figures : tuple of (int, int) or None
        The fewest and the most significant figures accepted.
    marks : int
        1 or more.
    expected : tuple of str
        Points that a teacher looks for.
    wrong : mapping of str to float or str
        Wrong ideas with what they lead to, in `unit`.
    choices : tuple of str
        What there is to choose from.
    givens : mapping of str to object
        In SI: from these the sheet can be made again.
    source : str
        The fingerprint of the source.
    unit_matters : bool
        Whether the number counts in `unit` only; a key of before 0.3.0 says no.
    """

    code: str
    student: str
    file: str
    number: str
    question: str
    kind: str
    answer: Any
    shown: str
    unit: str = ""
    quantity: str = ""
    tolerance: float = 0.0
    figures: tuple[int, int] | None = None
    marks: int = 1
    expected: tuple[str, ...] = ()
    wrong: Mapping[str, Any] = field(default_factory=dict)
    choices: tuple[str, ...] = ()
    givens: Mapping[str, Any] = field(default_factory=dict)
    source: str = ""
    unit_matters: bool = False


_HEADINGS = [each.name for each in fields(KeyRow)]


def key_rows(variant: Variant, student: str, file: str, source: str) -> list[KeyRow]:
    """Give the rows of one sheet.

    Parameters
    ----------
    variant : Variant
        The sheet.
    student : str
        Whose it is; empty for a blank one.
    file : str
        The stem of its files' names.
    source : str
        The fingerprint of its source.

    Returns
    -------
    list of KeyRow
        In the order of the sheet.
    """
    rows = []
    for name, each in variant.answers.items():
        numeric = each.kind == "number"
        ideas = {
            idea: each.in_unit(found) if numeric else found
            for idea, found in each.wrong.items()
        }
        rows.append(
            KeyRow(
                code=variant.code,
                student=student,
                file=file,
                number=each.number,
                question=name,
                kind=each.kind,
                answer=each.in_unit(each.value) if numeric else each.value,
                shown=str(each.shown).replace("\u202f", " "),
                unit=each.unit,
                quantity=each.quantity,
                tolerance=each.tolerance,
                figures=each.figures,
                marks=each.marks,
                expected=each.expected,
                wrong=ideas,
                choices=each.choices,
                givens=variant.drawn,
                source=source,
                unit_matters=each.unit_matters,
            )
        )
    return rows


def key_bytes(rows: Iterable[KeyRow]) -> bytes:
    """Give a key as the bytes of a CSV file; no cell is a formula.

    Parameters
    ----------
    rows : iterable of KeyRow
        The key.

    Returns
    -------
    bytes
        UTF-8, with a mark that spreadsheet programs look for.
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(_HEADINGS)
    for row in rows:
        writer.writerow([_safe(each) for each in _cells(row)])
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def _cells(row: KeyRow) -> Iterator[str]:
    for name in _HEADINGS:
        value = getattr(row, name)
        if name == "wrong":
            value = [{"idea": key, "answer": found} for key, found in value.items()]
        if name == "figures":
            yield f"{value[0]} to {value[1]}" if value else ""
        elif name == "expected":
            yield "\n".join(value)
        elif name in ("wrong", "choices", "givens"):
            yield json.dumps(value, ensure_ascii=False) if value else ""
        elif isinstance(value, float):
            yield repr(value)
        else:
            yield "" if value is None else str(value)


def _safe(text: str) -> str:
    """Keep a spreadsheet program from taking a text for a formula."""
    if text.startswith(_FORMULA) and not _is_number(text):
        return f"'{text}"
    return text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def read_key(path: Path) -> list[KeyRow]:
    """Read a key.

    Parameters
    ----------
    path : pathlib.Path
        A file that `key_bytes` made.

    Returns
    -------
    list of KeyRow
        Its rows.

    Raises
    ------
    FileError
        If it cannot be read.
    TableError
        If it is no key; `what` names the line.
    """
    return parse_key(path.name, decode(path, bytes_of(path)))


def parse_key(name: str, text: str) -> list[KeyRow]:
    """Read a key from its text.

    Parameters
    ----------
    name : str
        The file's, for messages.
    text : str
        CSV.

    Returns
    -------
    list of KeyRow
        Its rows.

    Raises
    ------
    TableError
        If it is no key; `what` names the line.
    """
    reader = csv.DictReader(io.StringIO(text.lstrip("\ufeff"), newline=""))
    there = {*(reader.fieldnames or ()), "unit_matters"}
    missing = [each for each in _HEADINGS if each not in there]
    if missing:
        raise _no_key(name, f"no column {missing[0]}")
    rows = []
    for cells in reader:
        try:
            rows.append(_row({key: cells.get(key) or "" for key in _HEADINGS}))
        except (ValueError, TypeError, KeyError, AttributeError) as error:
            where = f"{name}, line {reader.line_num}"
            raise _no_key(where, " ".join(str(error).split())[:80]) from error
    return rows


def _row(cells: dict[str, str]) -> KeyRow:
    text = {
        key: value[1:] if value.startswith("'") else value
        for key, value in cells.items()
    }
    numeric = text["kind"] == "number"
    low, _, high = text["figures"].partition(" to ")
    ideas = json.loads(text["wrong"] or "[]")
    return KeyRow(
        code=text["code"],
        student=text["student"],
        file=text["file"],
        number=text["number"],
        question=text["question"],
        kind=text["kind"],
        answer=float(text["answer"]) if numeric else text["answer"] or None,
        shown=text["shown"],
        unit=text["unit"],
        quantity=text["quantity"],
        tolerance=float(text["tolerance"]),
        figures=(int(low), int(high)) if low else None,
        marks=int(text["marks"]),
        expected=tuple(text["expected"].split("\n")) if text["expected"] else (),
        wrong={each["idea"]: each["answer"] for each in ideas},
        choices=tuple(json.loads(text["choices"] or "[]")),
        givens=json.loads(text["givens"] or "{}"),
        source=text["source"],
        unit_matters=text["unit_matters"] == "True",
    )


def _no_key(where: str, read: str) -> TableError:
    return TableError(
        what=where,
        read=read,
        allowed="a key as bouncelab worksheets writes it",
        do="Take the key.csv from the folder teacher as it was made; edit a copy.",
    )
