"""A sheet as a paper: answer boxes, lines for words, figures."""

from __future__ import annotations

from bouncelab.typesetting.paper import Paper, figure, plain, table
from bouncelab.worksheets.answers import Answer
from bouncelab.worksheets.filling import Block, asides, body
from bouncelab.worksheets.running import Variant
from bouncelab.worksheets.source import Source

__all__ = ["marks_of", "sheet_paper"]

_HARD = "\u00a0"  # a blank at which no line is broken


def marks_of(asked: Answer) -> str:
    """Say how many marks a question has.

    Parameters
    ----------
    asked : Answer
        The question.

    Returns
    -------
    str
        Such as “2 marks”.
    """
    return f"{asked.marks}{_HARD}{'mark' if asked.marks == 1 else 'marks'}"


def sheet_paper(source: Source, variant: Variant, student: str = "") -> Paper:
    """Give a sheet as a paper, for the screen and for print.

    Parameters
    ----------
    source : Source
        Its text.
    variant : Variant
        Its numbers.
    student : str, optional
        Whose it is; a gap for the name if left out.

    Returns
    -------
    Paper
        Nothing of its answers is in it.

    Raises
    ------
    NotebookError
        If a place in the text cannot be filled.
    """
    figures: dict[str, bytes] = {}
    name = f"**{plain(student)}**" if student else "[ ]{.gap width=5cm}"
    parts = [
        f"Name {name} {_HARD * 3}Date [ ]{{.gap width=2.5cm}} {_HARD * 3}"
        f"Code{_HARD}**{variant.code}**"
    ]
    text = ""  # the last one, until it is known what follows it
    for block in body(source, variant):
        if block.kind == "text":
            parts.append(text)
            text = block.content
            continue
        made = _inset(block, variant, figures)
        before, _, asked = text.rpartition("\n\n")
        if asked.startswith("#") or not asked:  # a heading holds on to what follows
            parts += [text, made]
        else:
            parts += [before, f"::::: together\n{asked}\n\n{made}\n:::::"]
        text = ""
    parts.append(text)
    hints = asides(source, variant, "hint")
    if hints:
        parts.append("## Hints")
        parts += [
            f"**For {number}:** {text}" if number else text for number, text in hints
        ]
    parts = [each for each in parts if each]
    footer = f"{source.title} · {variant.code}"
    return Paper(source.title, "\n\n".join(parts), figures, footer)


def _inset(block: Block, variant: Variant, figures: dict[str, bytes]) -> str:
    if block.kind == "answer":
        return _place(variant.answers[block.content])
    if block.kind == "table":
        found = variant.tables[block.content]
        return table(found.headings, found.rows, caption=found.caption)
    drawing = variant.drawings[block.content]
    file = f"{block.content}.svg"
    figures[file] = drawing.svg.encode()
    return figure(file, drawing.picture, caption=drawing.caption, width=drawing.width)


def _place(asked: Answer) -> str:
    label = f"**{asked.number}**{_HARD * 2}"
    marks = f"({marks_of(asked)})"
    if asked.kind == "number":
        before = f"{asked.symbol} = " if asked.symbol else "Answer: "
        return (
            f"::: {{.box height={asked.space or '1.2cm'}}}\n"
            f"{label}{before}[ ]{{.gap width=4cm}} {marks}\n:::"
        )
    if asked.kind == "choice":
        ticks = f"{_HARD * 3} ".join(
            f"☐{_HARD}{plain(each).replace(' ', _HARD)}" for each in asked.choices
        )
        before = f"{asked.symbol} " if asked.symbol else ""
        return f"{label}{before}Tick one {marks}: {_HARD}{ticks}"
    if asked.kind == "words":
        return (
            f":::: together\n{label}In your own words {marks}:\n\n"
            f"::: {{.lines count={asked.space}}}\n:::\n::::"
        )
    if asked.space:
        return f"::: {{.box height={asked.space}}}\n{label}Draw here {marks}.\n:::"
    return f"{label}Draw into the figure {marks}."
