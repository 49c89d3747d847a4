"""What is made at once: the files of a few sheets, or one file of the key."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from bouncelab.batches import fingerprint
from bouncelab.errors import BounceLabError
from bouncelab.places import write_whole
from bouncelab.typesetting.making import PaperSize, make_pdf
from bouncelab.typesetting.together import make_htmls, make_pdfs
from bouncelab.worksheets.key_paper import key_paper
from bouncelab.worksheets.notebook_form import notebook_bytes
from bouncelab.worksheets.paper_form import sheet_paper
from bouncelab.worksheets.running import solve_code
from bouncelab.worksheets.source import Source, parse_source

__all__ = ["Outcome", "Piece", "SheetFile", "make_piece"]


@dataclass(frozen=True, slots=True)
class SheetFile:
    """One sheet to be made.

    Attributes
    ----------
    stem : str
        Of its files' names.
    student, code : str
        Whose it is, and which.
    """

    stem: str
    student: str
    code: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of work.

    Attributes
    ----------
    name : str
        Of the key's file; empty for sheets.
    file, data : str, bytes
        The source.
    sheets : tuple of SheetFile
        Of which sheets.
    forms : tuple of str
        Endings of a sheet's files.
    size, large : str, bool
        Of paper, and whether in large print.
    folder : pathlib.Path
        Where the folders of students and teacher stand.
    """

    name: str
    file: str
    data: bytes
    sheets: tuple[SheetFile, ...]
    forms: tuple[str, ...]
    size: PaperSize
    large: bool
    folder: Path

    def parts(self) -> dict[str, list[str]]:
        """Give the names of what it makes, each with its files."""
        if self.name:
            return {self.name: [f"teacher/{self.name}"]}
        return {
            one.stem: [f"students/{one.stem}.{form}" for form in self.forms]
            for one in self.sheets
        }

    def marks(self) -> dict[str, str]:
        """Give for each part a text that differs when its input does."""
        look = (self.file, *self.forms, self.size, str(self.large))
        marks = {
            one.stem: fingerprint(self.data, *look, one.student, one.code)
            for one in self.sheets
        }
        return {self.name: fingerprint(*marks.values())} if self.name else marks


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of a piece.

    Attributes
    ----------
    made : dict of str to list of str
        Parts with their files.
    errors : dict of str to str
        Parts that failed, with why.
    """

    made: dict[str, list[str]] = field(default_factory=dict)
    errors: dict[str, str] = field(default_factory=dict)


def make_piece(piece: Piece) -> Outcome:
    """Make the files of one piece of work; it may run in another process.

    Parameters
    ----------
    piece : Piece
        Which.

    Returns
    -------
    Outcome
        A sheet that fails stops no other of its piece.
    """
    source = parse_source(piece.file, piece.data)
    try:
        for file, data in (_key if piece.name else _sheets)(source, piece).items():
            write_whole(piece.folder / file, data)
        return Outcome(piece.parts())
    except BounceLabError as error:
        if piece.name or len(piece.sheets) == 1:
            line = " ".join(str(error).split())
            return Outcome(errors=dict.fromkeys(piece.parts(), line))
    found = [make_piece(replace(piece, sheets=(one,))) for one in piece.sheets]
    return Outcome(
        {name: files for each in found for name, files in each.made.items()},
        {name: error for each in found for name, error in each.errors.items()},
    )


def _key(source: Source, piece: Piece) -> dict[str, bytes]:
    sheets = ((solve_code(source, one.code), one.student) for one in piece.sheets)
    paper = key_paper(source, sheets)
    ((file,),) = piece.parts().values()
    return {file: make_pdf(paper, size=piece.size, large=piece.large)}


def _sheets(source: Source, piece: Piece) -> dict[str, bytes]:
    solved = [(solve_code(source, one.code), one.student) for one in piece.sheets]
    made: dict[str, list[bytes]] = {}
    if "ipynb" in piece.forms:
        made["ipynb"] = [notebook_bytes(source, *each) for each in solved]
    if {"html", "pdf"} & set(piece.forms):
        papers = [sheet_paper(source, *each) for each in solved]
        if "html" in piece.forms:
            made["html"] = [each.encode() for each in make_htmls(papers)]
        if "pdf" in piece.forms:
            made["pdf"] = make_pdfs(papers, size=piece.size, large=piece.large)
    return {
        f"students/{one.stem}.{form}": data[k]
        for form, data in made.items()
        for k, one in enumerate(piece.sheets)
    }
