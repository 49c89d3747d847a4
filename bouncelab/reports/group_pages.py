"""A page for each group to take back: its drops, and its numbers beside the class's."""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.words import condition_words, said_once, shown
from bouncelab.chance_laws import student_quantile
from bouncelab.reports.parts import (
    Parts,
    ball_words,
    ordered_rows,
    unbroken,
    where_words,
)
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import in_unit

__all__ = ["group_part", "groups_of"]

_DROPS = 30  # of one ball and condition, listed
_LONG = 16  # lines of a table that fit a page together with the rest
_FAR = 3.0  # standard uncertainties; less is often chance
_LESS = 0.9  # of another e of the same ball: worth a question

Truths = NDArray[np.bool_]


def groups_of(found: Bounciness) -> list[str]:
    """Give the names of the groups, in the order of the table.

    Parameters
    ----------
    found : Bounciness
        The class's results.

    Returns
    -------
    list of str
        Without blanks.
    """
    names = found.drops.table["group"].astype("str")
    return [name for name in dict.fromkeys(names) if name.strip()]


def group_part(
    parts: Parts, found: Bounciness, name: str, mark: str, *, notes: bool
) -> None:
    """Give one group's page.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    name : str
        The group.
    mark : str
        Where the contents lead.
    notes : bool
        Whether to show what the group wrote in the column of notes.
    """
    rows = ordered_rows(found)
    own = [(row, mine) for row in rows if (mine := _of(row, name)).any()]
    parts.say("::: new-page\n:::")
    title = plain(name)
    if not name.casefold().startswith("group"):
        title = f"group {title}"
    parts.begin(mark, f"For {title}", plain(name))
    if own:
        headings = ["ball and conditions", "rows", "your rebounds (cm)"]
        headings += ["your *e*", "the class's *e*"]
        beside = table(
            headings,
            [_beside(row, mine) for row, mine in own],
            right=(3, 4),
            widths=(10, 4, 8, 6, 6),
        )
        parts.say(
            f"::: small\n\n{beside}\n\n:::" if len(own) > _LONG else beside,
            f"{_example(*own[0])} Rebounds are those of the lowest point of the ball; "
            "where you read another point, its height on the ball is taken off. "
            + ("“?” marks one to look at again. " if _any_doubt(own) else "")
            + "Your ± says how well your own drops fix your mean (95 %); the class's "
            "± holds what the tape and the marks add, too.",
        )
    else:
        parts.say("None of your drops could be used; see why beneath.")
    _findings(parts, found, name)
    if notes:
        _notes(parts, found, name)
    parts.say(
        "::: together",
        "### One thing to think about",
        _question(found, rows, own, name),
        "::: {.lines count=4}\n:::",
        ":::",
    )


def _of(row: BallBounce, name: str) -> Truths:
    return np.array([each == name for each in row.trials.group], dtype=bool)


def _any_doubt(own: Sequence[tuple[BallBounce, Truths]]) -> bool:
    return any(bool(row.trials.doubtful[mine].any()) for row, mine in own)


def _beside(row: BallBounce, mine: Truths) -> list[str]:
    trials = row.trials
    order = np.flatnonzero(mine)
    order = order[np.argsort(trials.line[order], kind="stable")]
    heights = [
        _cm(float(trials.rebound_height[k])) + (" (?)" if trials.doubtful[k] else "")
        for k in order[:_DROPS]
    ]
    if order.size > _DROPS:
        heights.append(f"and {order.size - _DROPS} more")
    e = trials.e[mine]
    own = f"{float(e.mean()):.3f}"
    if e.size > 1 and e.std() > 0:
        half = float(student_quantile(e.size - 1, 0.975) * e.std(ddof=1)) / sqrt(e.size)
        own = shown(float(e.mean()), half)
    return [
        plain(condition_words(row)),
        _runs([int(trials.line[k]) for k in order]),
        ", ".join(heights),
        unbroken(own),
        unbroken(shown(row.e, row.expanded)),
    ]


def _cm(metres: float, digits: int = 1) -> str:
    return f"{in_unit(metres, 'length', 'cm'):.{digits}f}"


def _runs(numbers: Sequence[int]) -> str:
    """Write line numbers in brief, such as ``4–8, 12``."""
    runs: list[list[int]] = []
    for each in numbers:
        if runs and each == runs[-1][1] + 1:
            runs[-1][1] = each
        else:
            runs.append([each, each])
    return ", ".join(
        str(first) if first == last else f"{first}–{last}" for first, last in runs
    )


def _example(row: BallBounce, mine: Truths) -> str:
    """Work out the group's first drop, for them to check by hand."""
    trials = row.trials
    k = min(np.flatnonzero(mine), key=lambda each: trials.line[each])
    drop, rebound = float(trials.drop_height[k]), float(trials.rebound_height[k])
    e = f"{float(trials.e[k]):.3f}"
    # As many digits as give this e on a pocket calculator.
    for digits in (1, 2, 3):
        h2, h1 = (_cm(each, digits) for each in (rebound, drop))
        if f"{sqrt(float(h2) / float(h1)):.3f}" == e:
            break
    return rf"Row {int(trials.line[k])}, for example: $e = \sqrt{{{h2}/{h1}}} = {e}$."


def _rows_of(found: Bounciness, name: str) -> set[int]:
    whole = found.drops.table
    return set(whole.index[whole["group"].astype("str") == name])


def _findings(parts: Parts, found: Bounciness, name: str) -> None:
    mine = _rows_of(found, name)
    own = [each for each in found.findings if each.row in mine]
    parts.say("### What to look at again")
    if not own:
        parts.say("None of your readings looks doubtful.")
        return
    parts.say(
        "\n".join(
            f"- Row {each.row}, read “{plain(each.read)}”: {plain(said)}"
            for each, said in zip(own, said_once(own), strict=True)
        )
    )


def _notes(parts: Parts, found: Bounciness, name: str) -> None:
    whole = found.drops.table
    mine = whole[whole["group"].astype("str") == name]
    said = [
        f"- Row {row}: {plain(str(text))}"
        for row, text in mine["note"].items()
        if str(text).strip() and str(text) not in ("nan", "<NA>")
    ]
    if said:
        parts.say("### Your notes", "\n".join(said))


def _question(
    found: Bounciness,
    rows: Sequence[BallBounce],
    own: Sequence[tuple[BallBounce, Truths]],
    name: str,
) -> str:
    """Ask what this group's own numbers give reason to ask."""
    mine = _rows_of(found, name)
    marked = sum(each.row in mine for each in found.findings)
    if marked:
        return (
            f"{'Look at the reading' if marked == 1 else 'Choose one of the readings'} "
            "above. What do you think happened, and how "
            "could you find out without simply leaving it out?"
        )
    far, which = max(
        ((_far(row, of), row) for row, of in own),
        key=lambda each: each[0],
        default=(0.0, None),
    )
    if which is not None and far > _FAR:
        return (
            f"Your mean for {plain(ball_words(which))} is not that of the other "
            "groups. Was it the ball, the place, or the way of reading? How could you "
            "find out?"
        )
    for row, _ in own:
        for other, _ in own:
            if other.ball == row.ball and row.e < _LESS * other.e:
                return (
                    f"{plain(ball_words(row))} bounced less "
                    f"{plain(where_words(row, rows))} than "
                    f"{plain(where_words(other, rows))}. It fell just as fast: where "
                    "did the rest of its energy go?"
                )
    return (
        "If you dropped each ball a hundred times, which part of the ± would become "
        "small, and which would stay? Why?"
    )


def _far(row: BallBounce, mine: Truths) -> float:
    """Tell how many standard uncertainties a group lies from the others."""
    own, others = row.trials.e[mine], row.trials.e[~mine]
    if own.size < 2 or others.size < 2:
        return 0.0
    noise = sqrt(
        float(own.var(ddof=1)) / own.size + float(others.var(ddof=1)) / others.size
    )
    return abs(float(own.mean() - others.mean())) / noise if noise > 0 else 0.0
