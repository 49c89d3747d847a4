"""A class's sheets marked: each file for itself, with a line for what went wrong."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from bouncelab.errors import BounceLabError, InputError
from bouncelab.worksheets.filled import Filled, read_filled, read_table
from bouncelab.worksheets.keys import KeyRow, read_key
from bouncelab.worksheets.marking import Marked, mark_sheet
from bouncelab.worksheets.source import Source, read_source

__all__ = ["ClassMarks", "SheetMarks", "mark_class", "mark_files", "read_folder"]

# As what else a filled sheet is handed in.
_OTHERWISE = {".pdf", ".json", ".txt", ".doc", ".docx", ".odt", ".zip", ".jpg", ".png"}


@dataclass(frozen=True, slots=True)
class SheetMarks:
    """One marked sheet.

    Attributes
    ----------
    student, code, file : str
        Whose it is, its code, and what was handed in.
    answers : list of Marked
        In the order of the sheet.
    notes : list of str
        What a teacher should know.
    """

    student: str
    code: str
    file: str
    answers: list[Marked]
    notes: list[str]

    @property
    def total(self) -> int:
        """Marks given so far."""
        return sum(each.marks for each in self.answers)

    @property
    def most(self) -> int:
        """Marks that can be had."""
        return sum(each.row.marks for each in self.answers)

    @property
    def open(self) -> int:
        """Marks that a teacher still has to decide."""
        return sum(each.row.marks for each in self.answers if each.needs_eye)


@dataclass
class ClassMarks:
    """All sheets, what could not be marked, and who handed in nothing.

    Attributes
    ----------
    sheets : list of SheetMarks
        In the order of the key.
    problems : list of str
        A line for each file or row that could not be marked.
    missing : list of str
        Students, or codes of blank sheets, of whom nothing came.
    carried : bool
        Whether answers could be followed from students' own earlier ones.
    """

    sheets: list[SheetMarks] = field(default_factory=list)
    problems: list[str] = field(default_factory=list)
    missing: list[str] = field(default_factory=list)
    carried: bool = True

    @property
    def missed(self) -> list[tuple[str, int, int, list[tuple[str, int]]]]:
        """Questions with how often each was missed, of how many, and wrong ideas."""
        told = []
        seen: dict[str, list[Marked]] = defaultdict(list)
        for sheet in self.sheets:
            for each in sheet.answers:
                if each.row.kind in ("number", "choice"):
                    seen[f"{each.row.number} ({each.row.question})"].append(each)
        for name, found in seen.items():
            wrong = [m for m in found if m.result in ("wrong", "empty", "unread")]
            ideas = Counter(m.idea for m in found if m.idea)
            told.append((name, len(wrong), len(found), ideas.most_common()))
        return sorted(told, key=lambda each: -each[1] / max(each[2], 1))


def read_folder(folder: Path) -> tuple[list[Filled], list[str]]:
    """Read every notebook of a folder, the newest of each name last.

    Parameters
    ----------
    folder : pathlib.Path
        Where filled sheets are, in it and in its folders.

    Returns
    -------
    tuple of list of Filled and list of str
        What could be read, and a line for each file that could not, or that was
        handed in as something else.
    """
    paths = [
        path
        for path in folder.rglob("*.ipynb")
        if ".ipynb_checkpoints" not in path.parts
    ]
    stems = {path.with_suffix("") for path in paths}
    filled = []
    problems = [
        f"{path.relative_to(folder).as_posix()}: this is no notebook (.ipynb). Ask for "
        "the notebook, or type its answers into a table for --answers."
        for path in sorted(folder.rglob("*"))
        if path.suffix.lower() in _OTHERWISE
        and path.with_suffix("") not in stems
        and not any(part.endswith("_feedback") for part in path.parts)
    ]
    for path in [each for each in paths if not each.is_file()]:
        problems.append(f"{path.name}: this is no file. Ask for the notebook again.")
    files = [each for each in paths if each.is_file()]
    for path in sorted(files, key=lambda each: (each.stat().st_mtime_ns, str(each))):
        inside = path.relative_to(folder)
        try:
            filled.append(replace(read_filled(path), file=inside.as_posix()))
        except BounceLabError as error:
            where = f"{inside.parent.as_posix()}/" if inside.parent.parts else ""
            problems.append(where + " ".join(str(error).split()))
    return filled, problems


def mark_files(
    key: Path, folder: Path | None = None, answers: Path | None = None
) -> tuple[ClassMarks, str]:
    """Mark a folder of filled notebooks, a table of answers, or both.

    Parameters
    ----------
    key : pathlib.Path
        The key.csv; a source.ipynb beside it is the teacher's own, so it may run.
    folder : pathlib.Path, optional
        Filled notebooks.
    answers : pathlib.Path, optional
        A table, as `read_table` takes it.

    Returns
    -------
    tuple of ClassMarks and str
        All sheets, and the worksheet's title.

    Raises
    ------
    BounceLabError
        If the key or the table cannot be read, or there is nothing to mark.
    """
    if folder is None and answers is None:
        raise InputError(
            what="what to mark",
            read="neither a folder nor a table of answers",
            allowed="a folder of filled notebooks, a table of answers, or both",
            do="Name the folder students with the notebooks that were handed in.",
        )
    if folder is not None and not folder.is_dir():
        raise InputError(
            what="the folder of filled notebooks",
            read=f"“{folder}”",
            allowed="a folder",
            do="Look at its name.",
        )
    rows = read_key(key)
    filled, problems = read_folder(folder) if folder is not None else ([], [])
    if answers is not None:
        filled += read_table(answers)
    source: Source | None
    try:
        source = read_source(str(key.with_name("source.ipynb")))
    except BounceLabError:
        source = None
    marks = mark_class(rows, filled, source)
    marks.problems[:0] = problems
    return marks, source.title if source is not None else "Worksheet"


def mark_class(
    key: Sequence[KeyRow], filled: Iterable[Filled], source: Source | None
) -> ClassMarks:
    """Mark all that was handed in.

    Parameters
    ----------
    key : sequence of KeyRow
        Of the whole class.
    filled : iterable of Filled
        The newest of a sheet last: it counts, unless nothing is written in it.
    source : Source or None
        The teacher's, whose fingerprint must be that of the key; without it no
        answer is followed from a student's own earlier ones.

    Returns
    -------
    ClassMarks
        Every sheet that could be matched.
    """
    rows: dict[str, list[KeyRow]] = {}
    for row in key:
        rows.setdefault(row.file, []).append(row)
    by_code: dict[str, list[str]] = defaultdict(list)
    for file, mine in rows.items():
        by_code[mine[0].code].append(file)
    own = source is not None and all(r.source == source.fingerprint for r in key)
    told = ClassMarks(carried=own)
    found: dict[str, Filled] = {}
    for each in filled:
        file = _sheet_of(each, by_code.get(each.code, []), rows)
        if not file:
            told.problems.append(_unmatched(each, by_code.get(each.code, [])))
            continue
        older = found.get(file)
        if older and any(older.answers.values()) and not any(each.answers.values()):
            older.notes.append(f"{each.file} of the same sheet is empty.")
            continue
        if older:
            each.notes.append(f"{older.file} is of the same sheet: this one counts.")
        found[file] = each
    for file, mine in rows.items():
        if file in found:
            told.sheets.append(_marked(mine, found[file], source))
        else:
            told.missing.append(mine[0].student or mine[0].code)
    return told


def _sheet_of(
    each: Filled, files: Sequence[str], rows: Mapping[str, list[KeyRow]]
) -> str:
    """Give the sheet that was handed in: by its code, by its name where codes meet."""
    stem = Path(each.file).stem
    if stem in files or (not each.code and stem in rows):
        return stem
    return files[0] if len(files) == 1 else ""


def _marked(mine: Sequence[KeyRow], each: Filled, source: Source | None) -> SheetMarks:
    known = {name for row in mine for name in (row.question, row.number)}
    notes = list(each.notes)
    if each.file.endswith(".ipynb"):
        here = each.answers
        gone = [x.number for x in mine if not {x.question, x.number} & here.keys()]
        if gone:
            notes.append(f"The boxes of {', '.join(gone)} are gone.")
    strange = [name for name in each.answers if name not in known]
    if strange:
        notes.append(f"Answers to no question of this sheet: {', '.join(strange)}.")
    fits = source is not None and mine[0].source == source.fingerprint
    marked = mark_sheet(mine, each.answers, source if fits else None)
    return SheetMarks(mine[0].student, mine[0].code, each.file, marked, notes)


def _unmatched(each: Filled, files: Sequence[str]) -> str:
    if files:
        return (
            f"{each.file}: {len(files)} sheets have the code {each.code}; give the "
            f"file its own name again, such as {files[0]}.ipynb."
        )
    if not each.code:
        return (
            f"{each.file}: no sheet's code stands in it, and its name is none of the "
            "key's. Type the code into its first cell, or mark it by hand."
        )
    return f"{each.file}: its code {each.code} is not in this key. Is it another key's?"
