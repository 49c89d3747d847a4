"""Sheets for a class: every student's files, and the key."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from bouncelab.batches import Done, Ledger, fingerprint, run_pieces
from bouncelab.errors import BounceLabError, InputError
from bouncelab.places import write_whole
from bouncelab.typesetting.making import PaperSize, make_html, make_pdf
from bouncelab.worksheets.codes import new_code
from bouncelab.worksheets.filling import check_text
from bouncelab.worksheets.key_paper import key_paper
from bouncelab.worksheets.keys import KeyRow, key_bytes, key_rows
from bouncelab.worksheets.notebook_form import notebook_bytes
from bouncelab.worksheets.paper_form import sheet_paper
from bouncelab.worksheets.roster import Student, file_stem
from bouncelab.worksheets.running import Variant, solve_code
from bouncelab.worksheets.source import Source, parse_source

__all__ = ["FORMS", "Made", "blank_students", "make_sheets"]

FORMS = ("ipynb", "html", "pdf")
_KEY_SHEETS = 40  # in one file of the key
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


@dataclass(frozen=True, slots=True)
class _Sheet:
    stem: str
    student: str
    code: str


@dataclass(frozen=True, slots=True)
class _Piece:
    """Files of one sheet, or one file of the key."""

    name: str
    file: str
    data: bytes
    sheets: tuple[_Sheet, ...]
    forms: tuple[str, ...]
    size: PaperSize
    large: bool
    folder: Path
    key: bool = False

    def files(self) -> list[str]:
        if self.key:
            return [f"teacher/{self.name}"]
        return [f"students/{self.name}.{form}" for form in self.forms]

    def mark(self) -> str:
        parts = [part for one in self.sheets for part in (one.student, one.code)]
        look = (self.file, *self.forms, self.size, str(self.large))
        return fingerprint(self.data, *look, *parts)


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
    pieces = list(_pieces(source, sheets, chosen, size, large, folder))
    ledger = Ledger(folder / ".worksheets")
    marks = {piece.name: piece.mark() for piece in pieces}

    def note(done: Done, count: int, of: int) -> None:
        if not done.error and not done.before:
            ledger.add(done.name, marks[done.name], done.result)
        if progress is not None:
            progress(done, count, of)

    write_whole(folder / "teacher" / "source.ipynb", source.data)
    rows = _rows(source, sheets)
    write_whole(folder / "teacher" / "key.csv", key_bytes(rows))
    ended = run_pieces(
        make_piece,
        pieces,
        name=lambda piece: piece.name,
        executor=executor,
        done_before=lambda piece: ledger.has(piece.name, marks[piece.name]),
        progress=note,
    )
    if ledger.path.is_file():
        _in_order(ledger.path)
    told += [f"{each.name}: {each.error}" for each in ended if each.error]
    told += _left_over(folder, {file for piece in pieces for file in piece.files()})
    failed = {each.name for each in ended if each.error}
    return Made(sum(one.stem not in failed for one in sheets), tuple(told))


def _plan(
    source: Source, students: Sequence[Student], seed: str
) -> tuple[list[_Sheet], list[str]]:
    """Give every student a code whose givens nobody else has, if there is one."""
    sheets: list[_Sheet] = []
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
        sheets.append(_Sheet(stem, each.name, variant.code))
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


def _rows(source: Source, sheets: Sequence[_Sheet]) -> Iterator[KeyRow]:
    for one in sheets:
        variant = solve_code(source, one.code)
        yield from key_rows(variant, one.student, one.stem, source.fingerprint)


def _pieces(
    source: Source,
    sheets: Sequence[_Sheet],
    forms: tuple[str, ...],
    size: PaperSize,
    large: bool,
    folder: Path,
) -> Iterator[_Piece]:
    data = (source.name, source.data)
    for start in range(0, len(sheets), _KEY_SHEETS):  # first, as they take longest
        some = tuple(sheets[start : start + _KEY_SHEETS])
        name = "key.pdf" if not start else f"key_{start // _KEY_SHEETS + 1}.pdf"
        yield _Piece(name, *data, some, forms, size, large, folder, key=True)
    for one in sheets:
        yield _Piece(one.stem, *data, (one,), forms, size, large, folder)


def make_piece(piece: _Piece) -> list[str]:
    """Make the files of one piece of work; it may run in another process.

    Parameters
    ----------
    piece : _Piece
        Which.

    Returns
    -------
    list of str
        The files, from the folder on.

    Raises
    ------
    BounceLabError
        If one of them cannot be made.
    """
    source = parse_source(piece.file, piece.data)
    solved = [(solve_code(source, one.code), one.student) for one in piece.sheets]
    if piece.key:
        paper = key_paper(source, solved)
        made = {piece.files()[0]: make_pdf(paper, size=piece.size, large=piece.large)}
    else:
        ((variant, student),) = solved
        made = dict(_forms(source, variant, student, piece))
    for file, data in made.items():
        write_whole(piece.folder / file, data)
    return list(made)


def _forms(
    source: Source, variant: Variant, student: str, piece: _Piece
) -> Iterator[tuple[str, bytes]]:
    start = f"students/{piece.name}"
    if "ipynb" in piece.forms:
        yield f"{start}.ipynb", notebook_bytes(source, variant, student)
    if {"html", "pdf"} & set(piece.forms):
        paper = sheet_paper(source, variant, student)
        if "html" in piece.forms:
            yield f"{start}.html", make_html(paper).encode()
        if "pdf" in piece.forms:
            yield f"{start}.pdf", make_pdf(paper, size=piece.size, large=piece.large)


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
