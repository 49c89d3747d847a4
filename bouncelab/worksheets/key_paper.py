"""The key as a paper: answers, what is accepted, and worked steps for each sheet."""

from __future__ import annotations

from collections.abc import Iterable

from bouncelab.typesetting.paper import Paper, plain, table
from bouncelab.worksheets.answers import Answer
from bouncelab.worksheets.filling import asides, notes
from bouncelab.worksheets.running import Variant
from bouncelab.worksheets.shown import Shown, decimals_shown, significant
from bouncelab.worksheets.source import Source

__all__ = ["accepted", "key_paper", "key_text"]

_WIDTHS = (3, 8, 11, 4, 16)


def accepted(asked: Answer) -> str:
    """Say which answers are right.

    Parameters
    ----------
    asked : Answer
        The question.

    Returns
    -------
    str
        Such as “0.68 to 0.71; 2 to 3 figures”.
    """
    if asked.kind == "choice":
        return "only this"
    if asked.kind != "number":
        return "your eye"
    middle = asked.in_unit(asked.value)
    low, high = (
        _number(asked, middle + off) for off in (-asked.tolerance, asked.tolerance)
    )
    said = f"{low} to {high}"
    if asked.figures:
        fewest, most = asked.figures
        said += f"; {fewest} to {most} figures"
    return said


def _row(asked: Answer) -> list[str]:
    if asked.kind in ("words", "drawing"):
        told = "; ".join(asked.expected)
    else:
        told = "; ".join(
            f"{_shown(asked, found)}: {plain(idea)}"
            for idea, found in asked.wrong.items()
        )
    shown = str(asked.shown) or ("a drawing" if asked.kind == "drawing" else "words")
    return [asked.number, plain(shown), accepted(asked), str(asked.marks), told]


def _shown(asked: Answer, found: float | str) -> str:
    return plain(found) if isinstance(found, str) else str(asked.show(found))


def _number(asked: Answer, number: float) -> str:
    """Write a limit with one more figure than the answer."""
    if asked.step is not None:
        return decimals_shown(number, asked.step / 10)
    figures = asked.figures[0] if asked.figures else 3
    return str(Shown(significant(number, figures + 1)))


def key_text(source: Source, variant: Variant, student: str = "") -> str:
    """Give the key of one sheet as Markdown.

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
    str
        A heading, a table and the worked steps.
    """
    whose = f"{plain(student)} · {variant.code}" if student else variant.code
    parts = [
        f"## {whose}",
        table(
            ["", "answer", "accepted", "marks", "expected, or what a wrong one means"],
            [_row(each) for each in variant.answers.values()],
            widths=_WIDTHS,
        ),
    ]
    parts += [
        f"**Working for {number}.** {text}" if number else text
        for number, text in asides(source, variant, "working")
    ]
    return "\n\n".join(parts)


def key_paper(
    source: Source, sheets: Iterable[tuple[Variant, str]], part: str = ""
) -> Paper:
    """Give the key of some sheets as a paper.

    Parameters
    ----------
    source : Source
        Their source.
    sheets : iterable of (Variant, str)
        Each with its student.
    part : str, optional
        Which part of a long key it is.

    Returns
    -------
    Paper
        For the teacher alone.
    """
    title = f"Key: {source.title}" + (f" ({part})" if part else "")
    parts = [*notes(source)]
    parts += [key_text(source, variant, student) for variant, student in sheets]
    return Paper(title, "\n\n".join(parts), {}, f"Key, for the teacher: {source.title}")
