"""Sheets for a class: every student's files, and the key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

from bouncelab.batches import Done, Ledger, run_pieces
from bouncelab.errors import BounceLabError, InputError
from bouncelab.places import write_whole
from bouncelab.typesetting.making import PaperSize
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.filling import check_text
from bouncelab.worksheets.keys import KeyRow, key_bytes, key_rows
from bouncelab.worksheets.pieces import Piece, SheetFile, make_piece
from bouncelab.worksheets.roster import Student, file_stem
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import Source

__all__ = ["FORMS", "Made", "blank_students", "make_sheets"]

FORMS = ("ipynb", "html", "pdf")
_KEY_SHEETS = 40  # in one file of the key
_TOGETHER = 6  # sheets typeset at once
# Codes tried for one student; fewer once some were given twice.
_ALL, _FEWER = 300, 20


@dataclass(frozen=True, slots=True)
class Made:
    """What became of a run.

    Attributes
    ----------
    sheets : int
        How many sheets stand in the folder.
    told : tuple of str
        Lines that need a person's eye.
    """

    sheets: int
    told: tuple[str, ...]


def blank_students(count: int) -> list[Student]:
    """Give sheets without names.

    Parameters
    ----------
    count : int
        How many; not below 0.

    Returns
    -------
    list of Student
        Without names.

    Raises
    ------
    InputError
        If the number is below 0 or more than 100 000.
    """
    if not 0 <= count <= 100_000:
        raise InputError(
            what="the number of sheets without names",
            read=str(count),
            allowed="0 to 100 000",
            do="Say how many are needed.",
        )
    return [Student("", f"sheet {k:03d}") for k in range(1, count + 1)]


def make_sheets(
    source: Source,
    students: Sequence[Student],
    folder: Path,
    seed: str,
    *,
    forms: Iterable[str] = FORMS,
    size: PaperSize = "a4",
    large: bool = False,
    executor: Executor | None = None,
    progress: Callable[[Done, int, int], None] | None = None,
) -> Made:
    """Make a sheet for each student, and the key.

    Parameters
    ----------
    source : Source
        What the sheets are made of.
    students : sequence of Student
        Who gets one.
    folder : pathlib.Path
        Sheets stand in its folder ``students``, the key and the source in
        ``teacher``. A run that was stopped goes on where it was.
    seed : str
        The same text gives the same sheets.
    forms : iterable of str, optional
        Some of `FORMS`.
    size : {"a4", "us-letter"}, optional
        Of paper.
    large : bool, optional
        Large print.
    executor : concurrent.futures.Executor, optional
        What runs the work; here, one after the other, if left out.
    progress : callable, optional
        Told of each piece of work as it ends.

    Returns
    -------
    Made
        Whoever's sheet could not be made is told of; all others are made.

    Raises
    ------
    BounceLabError
        If the source cannot be used at all, or nothing can be written.
    """
    if not seed.strip():
        raise InputError(
            what="the seed of worksheets",
            read="nothing",
            allowed="some words that students do not know",
            do="The same words give the same sheets again.",
        )
    chosen = tuple(each for each in FORMS if each in set(forms))
    sheets, told = _plan(source, students, seed)
    base = Piece("", source.name, source.data, (), chosen, size, large, folder)
    ledger = Ledger(folder / ".worksheets")
    errors: dict[str, str] = {}
    marks: dict[str, str] = {}

    def note(done: Done, count: int, of: int) -> None:
        if done.result is None:
            errors.update(dict.fromkeys(done.name.split(", "), done.error))
        else:
            errors.update(done.result.errors)
            for name, made in done.result.made.items():
                ledger.add(name, marks[name], made)
        if progress is not None:
            progress(done, count, of)

    write_whole(folder / "teacher" / "source.ipynb", source.data)
    rows = _rows(source, sheets)
    write_whole(folder / "teacher" / "key.csv", key_bytes(rows))
    keys = list(_keys(base, sheets))
    for each in (*keys, replace(base, sheets=tuple(sheets))):
        marks |= each.marks()
    pieces: list[Piece] = []
    for each in keys:  # by turns: typst keeps what it typeset last, and keys are long
        if not ledger.has(each.name, marks[each.name]):
            pieces.append(each)
        left = [one for one in each.sheets if not ledger.has(one.stem, marks[one.stem])]
        for start in range(0, len(left), _TOGETHER):
            pieces.append(replace(base, sheets=tuple(left[start : start + _TOGETHER])))
    run_pieces(
        make_piece,
        pieces,
        name=lambda piece: ", ".join(piece.parts()),
        executor=executor,
        progress=note,
    )
    if ledger.path.is_file():
        _in_order(ledger.path)
    told += [f"{name}: {error}" for name, error in errors.items()]
    every = (*keys, replace(base, sheets=tuple(sheets)))
    own = {file for each in every for made in each.parts().values() for file in made}
    told += _left_over(folder, own)
    return Made(sum(one.stem not in errors for one in sheets), tuple(told))


def _plan(
    source: Source, students: Sequence[Student], seed: str
) -> tuple[list[SheetFile], list[str]]:
    """Give every student a code whose givens nobody else has, if there is one."""
    sheets: list[SheetFile] = []
    errors: list[BounceLabError] = []
    told: list[str] = []
    taken: set[tuple[object, ...]] = set()
    codes: set[str] = set()
    again = 0
    for each in students:
        try:
            for code in _codes(
                source, each.who, seed, codes, _FEWER if again else _ALL
            ):
                variant = solve_code(source, code)
                if tuple(variant.drawn.values()) not in taken:
                    break
        except BounceLabError as error:
            errors.append(error)
            told.append(f"{each.name or each.who}: {' '.join(str(error).split())}")
            continue
        if not sheets:
            check_text(source, variant)
        again += tuple(variant.drawn.values()) in taken
        taken.add(tuple(variant.drawn.values()))
        codes.add(variant.code)
        stem = file_stem(each.name or each.who, variant.code)
        sheets.append(SheetFile(stem, each.name, variant.code))
    if errors and not sheets:
        raise errors[0]
    if again:
        told.append(
            f"{source.name}: its ranges give only {len(taken)} different sheets for "
            f"{len(sheets)} students, so {again} have the givens of somebody else. "
            "Widen a range or make its step smaller."
        )
    return sheets, told


def _codes(
    source: Source, who: str, seed: str, taken: set[str], count: int
) -> Iterator[str]:
    """Give codes for somebody to choose from, none that another has."""
    for attempt in range(count):
        code = new_code(seed, who, attempt, source.ranges)
        if code not in taken:
            yield code


def _rows(source: Source, sheets: Sequence[SheetFile]) -> Iterator[KeyRow]:
    for one in sheets:
        variant = solve_code(source, one.code)
        yield from key_rows(variant, one.student, one.stem, source.fingerprint)


def _keys(base: Piece, sheets: Sequence[SheetFile]) -> Iterator[Piece]:
    for start in range(0, len(sheets), _KEY_SHEETS):
        name = "key.pdf" if not start else f"key_{start // _KEY_SHEETS + 1}.pdf"
        some = tuple(sheets[start : start + _KEY_SHEETS])
        yield replace(base, name=name, sheets=some)


def _in_order(path: Path) -> None:
    """Put the lines of the ledger in order, so that a folder does not tell its day."""
    lines = {line for line in path.read_bytes().split(b"\n") if line}
    write_whole(path, b"\n".join(sorted(lines)) + b"\n")


def _left_over(folder: Path, files: set[str]) -> list[str]:
    """Tell of files of an earlier run that would be taken for sheets of this one."""
    other = sorted(
        f"{part}/{each.name}"
        for part in ("students", "teacher")
        for each in (folder / part).glob("*")
        if each.suffix[1:] in FORMS
        and f"{part}/{each.name}" not in files
        and each.name != "source.ipynb"
        and not each.name.startswith(".")
    )
    if not other:
        return []
    return [
        f"{folder}: {len(other)} files of another run stand there too, such as "
        f"{other[0]}. Use a new folder for each worksheet, or take them out."
    ]
