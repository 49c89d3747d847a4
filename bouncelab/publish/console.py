"""Findings as lines of text, at most 100 columns wide, for any console."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import chain, zip_longest
from textwrap import wrap
from typing import TYPE_CHECKING

from bouncelab.analysis.words import (
    FINDING_HEADINGS,
    HEADINGS,
    cells,
    finding_rows,
    shown,
    unused_words,
    verdict_words,
)
from bouncelab.units import show_length, show_pressure

if TYPE_CHECKING:
    from bouncelab.analysis.bounciness import Bounciness
    from bouncelab.analysis.comparison import Comparison
    from bouncelab.analysis.pressure import Tuning
    from bouncelab.catalogue import BounceRange
    from bouncelab.readings.drops import Finding

__all__ = [
    "bounce_lines",
    "columns",
    "comparison_lines",
    "finding_lines",
    "range_lines",
    "remark_lines",
    "tuning_lines",
    "visible",
]

WIDTH = 100
_GAP = "  "


def visible(text: str) -> str:
    r"""Give a text in which nothing can steer the console.

    Parameters
    ----------
    text : str
        Anything that stood in a file.

    Returns
    -------
    str
        The same without control letters and marks of writing direction.

    Examples
    --------
    >>> visible("red\x1b[31m ball")
    'red?[31m ball'
    """
    return "".join(
        each
        if each.isprintable()
        else ""
        if unicodedata.category(each) == "Cf"
        else "?"
        for each in text
    )


def columns(
    headings: Sequence[str],
    rows: Sequence[Sequence[str]],
    *,
    right: Iterable[int] = (),
    most: Mapping[int, int] | None = None,
) -> list[list[str]]:
    """Lay out a table 100 columns wide; long cells go on in the next line.

    Parameters
    ----------
    headings : sequence of str
        One for each column.
    rows : sequence of sequence of str
        The cells.
    right : iterable of int, optional
        Columns that stand flush right.
    most : mapping of int to int, optional
        Greatest width of a column; the last one has the room that is left.

    Returns
    -------
    list of list of str
        The lines of the headings, then those of each row.

    Examples
    --------
    >>> columns(["row", "why"], [["12", "The rebound is above the drop."]], right=[0])
    [['row  why'], [' 12  The rebound is above the drop.']]
    """
    table = [[visible(cell) for cell in row] for row in [headings, *rows]]
    last, flush = len(headings) - 1, set(right)
    widths = [max(_wide(row[k]) for row in table) for k in range(last + 1)]
    for k, width in (most or {}).items():
        widths[k] = max(min(widths[k], width), _wide(headings[k]))
    room = WIDTH - sum(widths[:last]) - len(_GAP) * last
    widths[last] = min(widths[last], max(room, 12))
    blocks = []
    for row in table:
        cells = [wrap(c, w) or [""] for c, w in zip(row, widths, strict=True)]
        blocks.append(
            [
                _GAP.join(
                    _pad(cell, widths[k], k in flush) for k, cell in enumerate(line)
                ).rstrip()
                for line in zip_longest(*cells, fillvalue="")
            ]
        )
    return blocks


def _wide(text: str) -> int:
    """Count the columns that a console gives to a text."""
    return sum(
        0
        if unicodedata.combining(each)
        else 2
        if unicodedata.east_asian_width(each) in "WF"
        else 1
        for each in text
    )


def _pad(text: str, width: int, right: bool) -> str:
    space = " " * (width - _wide(text))
    return space + text if right else text + space


def finding_lines(
    findings: Sequence[Finding], headings: Mapping[str, str]
) -> list[str]:
    """Give a table of doubtful readings, with what to try.

    Parameters
    ----------
    findings : sequence of Finding
        What was found.
    headings : mapping of str to str
        The file's own heading of each column of the table.

    Returns
    -------
    list of str
        Lines; none if nothing was found.
    """
    if not findings:
        return []
    blocks = columns(
        FINDING_HEADINGS,
        finding_rows(findings, headings),
        right=[0],
        most={1: 21, 2: 16},
    )
    return [line for block in blocks for line in block]


def bounce_lines(found: Bounciness) -> list[str]:
    """Give the table of results, each row followed by its verdicts and remarks.

    Parameters
    ----------
    found : Bounciness
        The results.

    Returns
    -------
    list of str
        Lines.
    """
    width = HEADINGS.index("range")
    blocks = columns(
        ("ball", "floor", "kPa", "drop", "rebound", "n", "e", "without air", "lost"),
        [cells(row)[0][:width] for row in found.rows],
        right=range(2, width),
        most={0: 18, 1: 12},
    )
    if found.rows:
        lines = [
            "Coefficient of restitution e of each ball, in air and corrected for air "
            "drag.",
            "Heights of the lowest point in cm; n drops; ± expanded uncertainty, 95 %; "
            "energy lost.",
            "",
            *blocks[0],
        ]
    else:
        lines = ["No drop in this file can be used."]
    for row, block in zip(found.rows, blocks[1:], strict=True):
        lines += block
        said = [
            f"{each.range.id}: {verdict_words(each)}. {each.reason}"
            for each in row.verdicts
        ]
        for each in [*said, *row.remarks]:
            lines += wrap(
                visible(each), WIDTH, initial_indent="    ", subsequent_indent="      "
            )
    lines.append("")
    notes = [unused_words(found.left_out, found.set_aside)]
    if found.findings:
        notes.append(f"Readings to look at (bouncelab check): {len(found.findings)}.")
    return lines + remark_lines([*notes, *found.remarks])


def remark_lines(remarks: Sequence[str]) -> list[str]:
    """Give sentences as lines.

    Parameters
    ----------
    remarks : sequence of str
        The sentences.

    Returns
    -------
    list of str
        Lines.
    """
    return [line for each in remarks for line in wrap(visible(each), WIDTH)]


def range_lines(ranges: Sequence[BounceRange]) -> list[str]:
    """Give a table of published ranges.

    Parameters
    ----------
    ranges : sequence of BounceRange
        The ranges.

    Returns
    -------
    list of str
        Lines.
    """
    rows = [
        [
            each.id,
            f"{show_length(each.drop_height_m)}{_point(each, each.drop_point)}",
            f"{each.limits}{_point(each, each.rebound_point)}",
            "; ".join(t for t in (f"{each.body}, {each.edition}", each.floor) if t),
        ]
        for each in ranges
    ]
    blocks = columns(("id", "drop", "rebound", "rule; floor"), rows)
    return [
        *(line for block in blocks for line in block),
        "",
        "Points of the ball are named where the source names them. With --json, each "
        "range tells its",
        "source and how far it is confirmed.",
    ]


def _point(rule: BounceRange, point: str) -> str:
    return f" {point}" if rule.points_named else ""


def comparison_lines(told: Comparison) -> list[str]:
    """Give a comparison as lines for the terminal.

    Parameters
    ----------
    told : Comparison
        Levels and pairs.

    Returns
    -------
    list of str
        A table of levels, then a sentence for each pair, the surest first.
    """
    table = [
        [
            each.level,
            str(each.e.size),
            str(len(each.groups)),
            shown(each.mean, each.expanded),
        ]
        for each in told.levels
    ]
    lines = [*remark_lines([told.held]), ""]
    headings = (told.by, "drops", "groups", "e (± 95 %)")
    lines += chain.from_iterable(columns(headings, table, right=(1, 2, 3)))
    lines.append("")
    for pair in sorted(told.pairs, key=lambda each: each.p):
        chance = "under 0.001" if pair.p_holm < 0.001 else f"{pair.p_holm:.3f}"
        text = f"{pair} (compared: {pair.method}; chance {chance})"
        lines += remark_lines([text])
    lines += remark_lines(
        [
            "Chance: how often so large a difference comes by luck, over all pairs.",
            *told.remarks,
        ]
    )
    return lines


def tuning_lines(told: Tuning) -> list[str]:
    """Give the pressure that a ball needs as lines for the terminal.

    Parameters
    ----------
    told : Tuning
        What was found.

    Returns
    -------
    list of str
        What was measured, what to do, and the caution.
    """
    lines = [f"{told.ball}, range {told.range}"]
    if told.levels is not None:
        rows = [
            [show_pressure(p), str(int(n)), f"{ratio:.3f}"]
            for p, n, ratio in zip(
                told.levels.pressure, told.levels.n, told.levels.ratio, strict=True
            )
        ]
        headings = ("gauge pressure", "drops", "rebound ÷ drop")
        lines += chain.from_iterable(columns(headings, rows, right=(0, 1, 2)))
    if told.second_best is not None:
        other = show_pressure(told.second_best)
        lines += remark_lines([f"Another curve through the same points says {other}."])
    return [*lines, *remark_lines([told.advice, told.caution])]
