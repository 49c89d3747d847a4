"""A paper: a text with figures, before it is typeset."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from bouncelab.figures.picture import Picture

__all__ = ["Paper", "figure", "plain", "table"]

_MARKS = re.compile(r"([\\`*_{}\[\]()#+\-.!|<>~^$@'\"&:=])")


@dataclass(frozen=True, slots=True)
class Paper:
    r"""A text in Markdown with its figures.

    Beyond Markdown's own (``$x^2$`` is mathematics) a text may hold
    ``[ ]{.gap width=3cm}``, a gap to write in, and fenced blocks: ``::: {.lines
    count=3}``, ``::: {.box height=2cm}``, ``::: caution``, ``::: small``,
    ``::: tall`` (rows to write in), ``::: card`` and ``::: sign`` (to be read from
    afar), ``::: together`` (not split over pages), ``::: new-page``, and
    ``:::: columns`` with a ``::: column`` for each. What people typed goes through
    `plain`.

    Attributes
    ----------
    title : str
        Plain text.
    text : str
        Markdown.
    figures : mapping of str to bytes
        SVG or PNG, by the file names that the text uses.
    footer : str
        Plain text for the foot of each page.
    """

    title: str
    text: str
    figures: Mapping[str, bytes] = field(default_factory=dict)
    footer: str = ""


def plain(text: str) -> str:
    r"""Give a text as Markdown that shows just this text, on one line.

    Parameters
    ----------
    text : str
        Anything that people typed.

    Returns
    -------
    str
        The text with every mark escaped; white space is one blank.

    Examples
    --------
    >>> print(plain("*Ann* <b>"))
    \*Ann\* \<b\>
    """
    shown = "".join(each if each.isprintable() else " " for each in text)
    return _MARKS.sub(r"\\\1", " ".join(shown.split()))


def table(
    headings: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    right: Iterable[int] = (),
    widths: Sequence[int] = (),
    caption: str = "",
) -> str:
    """Give a table as Markdown; every cell is Markdown itself.

    Parameters
    ----------
    headings : sequence of str
        One for each column.
    rows : iterable of sequence of str
        Their cells.
    right : iterable of int, optional
        Columns that stand flush right.
    widths : sequence of int, optional
        How wide the columns of a wide table are beside each other; alike if left out.
    caption : str, optional
        What the table shows.

    Returns
    -------
    str
        Lines of Markdown.

    Examples
    --------
    >>> print(table(["ball", "e"], [["Futsal", "0.55"]], right=[1]))
    | ball | e |
    |:--|--:|
    | Futsal | 0.55 |
    """
    flush = set(right)
    dashes = ["-" * (2 * width) for width in widths] or ["--"] * len(headings)
    rule = "|".join(
        f"{each}:" if k in flush else f":{each}" for k, each in enumerate(dashes)
    )
    lines = [f"| {' | '.join(headings)} |", f"|{rule}|"]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    if caption:
        lines += ["", f": {caption}"]
    return "\n".join(lines)


def figure(name: str, picture: Picture, *, caption: str, width: str = "100%") -> str:
    """Give the Markdown that shows a picture, with its description in words.

    Parameters
    ----------
    name : str
        The file name under which the picture stands in `Paper.figures`.
    picture : Picture
        The figure with its words.
    caption : str
        A short line under it, Markdown.
    width : str, optional
        With its unit: ``"12cm"``.

    Returns
    -------
    str
        One paragraph of Markdown.
    """
    words = " ".join(picture.words.split()).replace("\\", "\\\\").replace('"', '\\"')
    return f'![{caption}]({name}){{width={width} alt="{words}"}}'
