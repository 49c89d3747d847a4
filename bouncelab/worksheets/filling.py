"""The text of a source with the numbers of one sheet in it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from bouncelab.errors import NotebookError
from bouncelab.worksheets.running import PLACE, SECTION, Variant
from bouncelab.worksheets.source import Source

__all__ = ["Block", "asides", "body", "check_text", "notes"]

_MATHS = re.compile(
    r"\$\$.+?\$\$|(?<![\\$])\$(?![\s$])(?:\\.|[^$\\])+?(?<!\s)\$", re.DOTALL
)
_HEADING = re.compile(r"\s*#{1,6}[^\n]*\n?")
_TITLE = re.compile(r"^#\s+.+?$\n?", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of a sheet.

    Attributes
    ----------
    kind : {"text", "answer", "picture", "table"}
        What it is.
    content : str
        Markdown, or the name of the answer, picture or table.
    """

    kind: str
    content: str


def body(source: Source, variant: Variant) -> Iterator[Block]:
    """Give what a student sees, without the title, in its order.

    Parameters
    ----------
    source : Source
        Its text.
    variant : Variant
        Its numbers.

    Yields
    ------
    Block
        Text cells are split where something stands between them.

    Raises
    ------
    NotebookError
        If a place is for something that is not there, or would show an answer.
    """
    if PLACE.search(source.title):
        raise _no_place(source, "with the title", source.title, [])
    titled = False
    for cell in source.cells:
        if cell.kind != "text":
            continue
        text = cell.text
        if not titled and _TITLE.search(text):
            text, titled = _TITLE.sub("", text, count=1), True
        start = 0
        for found in PLACE.finditer(text):
            if not found[1]:
                continue
            yield from _text(source, variant, cell.id, text[start : found.start()])
            _check(source, variant, cell.id, found[1], found[2])
            yield Block(found[1], found[2])
            start = found.end()
        yield from _text(source, variant, cell.id, text[start:])


def _text(source: Source, variant: Variant, cell: str, text: str) -> Iterator[Block]:
    filled = _fill(source, variant, cell, text, key=False).strip()
    if filled:
        yield Block("text", filled)


def _check(source: Source, variant: Variant, cell: str, kind: str, name: str) -> None:
    known = {
        "answer": variant.answers,
        "picture": variant.drawings,
        "table": variant.tables,
    }[kind]
    if name not in known:
        raise _no_place(source, cell, f"{kind} {name}", list(known))


def asides(source: Source, variant: Variant, kind: str) -> list[tuple[str, str]]:
    """Give hints or worked steps.

    Parameters
    ----------
    source : Source
        Its text.
    variant : Variant
        Its numbers.
    kind : {"hint", "working"}
        Which of the two. Only worked steps may show answers.

    Returns
    -------
    list of (str, str)
        The number of the question before it, and Markdown without its heading.

    Raises
    ------
    NotebookError
        If a place is for something that is not there, or would show an answer.
    """
    made, number, count = [], "", 0
    for cell in source.cells:
        if cell.kind == "text":
            for found in SECTION.finditer(cell.text):
                count = int(found[1]) if found[1] else count + 1
                number = str(count)
        elif cell.kind == kind:
            text = _HEADING.sub("", cell.text, count=1)
            key = kind == "working"
            filled = _fill(source, variant, cell.id, text, key=key).strip()
            made.append((number, filled))
    return made


def notes(source: Source) -> list[str]:
    """Give what a source tells the teacher, as Markdown.

    Parameters
    ----------
    source : Source
        Its text.

    Returns
    -------
    list of str
        Cells without their headings.
    """
    return [
        _HEADING.sub("", cell.text, count=1).strip()
        for cell in source.cells
        if cell.kind == "teacher"
    ]


def check_text(source: Source, variant: Variant) -> None:
    """See that every place in a source can be filled.

    Parameters
    ----------
    source : Source
        Its text.
    variant : Variant
        The numbers of any sheet.

    Raises
    ------
    NotebookError
        If a place is for something that is not there, or would show an answer.
    """
    for _ in body(source, variant):
        pass
    for kind in ("hint", "working"):
        asides(source, variant, kind)


def _fill(source: Source, variant: Variant, cell: str, text: str, *, key: bool) -> str:
    """Put numbers in their places; in mathematics as mathematics."""

    def one(found: re.Match[str], tex: bool) -> str:
        name = found[2]
        if found[1]:
            raise _no_place(source, cell, found[0].strip("{} "), [])
        if name in variant.givens:
            shown = variant.givens[name].shown
        elif key and name in variant.steps:
            shown = variant.steps[name].shown
        elif key and name in variant.answers:
            shown = variant.answers[name].shown
        elif name in variant.steps or name in variant.answers:
            raise NotebookError(
                what=f"{source.name}, cell {cell}",
                read=f"{{{{{name}}}}} in the text for students",
                allowed="givens; answers and steps stand only in cells that begin "
                "with ### Working",
                do="Take it out, so that no sheet shows its answer.",
            )
        else:
            known = [*variant.givens, *(variant.answers if key else ())]
            raise _no_place(source, cell, name, known)
        return shown.tex() if tex else str(shown)

    made, start = [], 0
    for maths in _MATHS.finditer(text):
        made.append(PLACE.sub(lambda m: one(m, False), text[start : maths.start()]))
        made.append(PLACE.sub(lambda m: one(m, True), maths[0]))
        start = maths.end()
    made.append(PLACE.sub(lambda m: one(m, False), text[start:]))
    odd = _MATHS.sub("", PLACE.sub("", text))
    if "{{" in odd:
        raise _no_place(source, cell, odd[odd.index("{{") :][:30], list(variant.givens))
    return "".join(made)


def _no_place(source: Source, cell: str, name: str, known: list[str]) -> NotebookError:
    return NotebookError(
        what=f"{source.name}, cell {cell}",
        read=f"a place for “{name}”, which no cell gives",
        allowed=", ".join(f"{{{{{each}}}}}" for each in known) or "text",
        do="Mend the name in the text, or give it in a code cell.",
    )
