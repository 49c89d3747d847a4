"""A page for each group to take back: its drops, and its numbers beside the class's."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from bouncelab.analysis.ball_bounce import BallBounce
from bouncelab.analysis.bounciness import Bounciness
from bouncelab.analysis.words import condition_words, said_once, shown
from bouncelab.reports.report_parts import Parts, ordered_rows
from bouncelab.typesetting.paper import plain, table
from bouncelab.units import show_length

__all__ = ["group_part", "groups_of"]

_DROPS = 60  # listed for one group


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


def group_part(parts: Parts, found: Bounciness, name: str, *, notes: bool) -> None:
    """Give one group's page.

    Parameters
    ----------
    parts : Parts
        Takes it.
    found : Bounciness
        The class's results.
    name : str
        The group.
    notes : bool
        Whether to show what the group wrote in the column of notes.
    """
    parts.say("::: new-page\n:::", f"## For group {plain(name)}")
    lines, texts = [], []
    for row in ordered_rows(found):
        mine = np.array([each == name for each in row.trials.group], dtype=bool)
        if mine.any():
            lines.append(_beside(row, mine))
            texts += _drops(row, mine)
    if lines:
        parts.say(
            table(
                ["ball and conditions", "your drops", "your *e*", "the class's *e*"],
                lines,
                right=(1, 2, 3),
                widths=(12, 3, 5, 5),
            ),
            "Your ± tells how well your own mean is known from its scatter (95 %). The "
            "class's ± holds what the tape and the marks add, too.",
        )
    else:
        parts.say("None of your drops could be used; see why beneath.")
    _findings(parts, found, name)
    if texts:
        parts.say("### Your drops")
        parts.say(
            table(
                ["row", "ball", "drop", "rebound", "*e*", "mark"],
                texts[:_DROPS],
                right=(0, 2, 3, 4),
            )
        )
        if len(texts) > _DROPS:
            parts.say(f"… and {len(texts) - _DROPS} more.")
    if notes:
        _notes(parts, found, name)
    parts.say(
        "### One thing to think about",
        _question(found, name),
        "::: {.lines count=4}\n:::",
    )


def _beside(row: BallBounce, mine: NDArray[np.bool_]) -> list[str]:
    from scipy.special import stdtrit

    e = row.trials.e[mine]
    own = f"{float(e.mean()):.3f}"
    if e.size > 1 and e.std() > 0:
        half = float(stdtrit(e.size - 1, 0.975) * e.std(ddof=1)) / sqrt(e.size)
        own = shown(float(e.mean()), half)
    return [
        plain(condition_words(row)),
        str(e.size),
        own,
        shown(row.e, row.expanded),
    ]


def _drops(row: BallBounce, mine: NDArray[np.bool_]) -> list[list[str]]:
    trials = row.trials
    return [
        [
            str(int(trials.line[k])),
            plain(row.ball or "(no name)"),
            show_length(float(trials.drop_height[k])),
            show_length(float(trials.rebound_height[k])),
            f"{float(trials.e[k]):.3f}",
            "look again" if trials.doubtful[k] else "",
        ]
        for k in np.flatnonzero(mine)
    ]


def _findings(parts: Parts, found: Bounciness, name: str) -> None:
    table_of = found.drops.table
    mine = set(table_of.index[table_of["group"].astype("str") == name])
    own = [each for each in found.findings if each.row in mine]
    parts.say("### What to look at again")
    if not own:
        parts.say("None of your readings looks doubtful. Well read!")
        return
    parts.say(
        "\n".join(
            f"- Row {each.row}, read “{plain(each.read)}”: {plain(said)}"
            for each, said in zip(own, said_once(own), strict=True)
        )
    )


def _notes(parts: Parts, found: Bounciness, name: str) -> None:
    table_of = found.drops.table
    mine = table_of[table_of["group"].astype("str") == name]
    said = [
        f"- Row {row}: {plain(str(text))}"
        for row, text in mine["note"].items()
        if str(text).strip() and str(text) not in ("nan", "<NA>")
    ]
    if said:
        parts.say("### Your notes", "\n".join(said))


def _question(found: Bounciness, name: str) -> str:
    """Ask what this group's own numbers give reason to ask."""
    table_of = found.drops.table
    mine = set(table_of.index[table_of["group"].astype("str") == name])
    if any(each.row in mine for each in found.findings):
        return (
            "Choose one of the readings above. What do you think happened, and how "
            "could you find out without simply leaving it out?"
        )
    far, which = 0.0, None
    for row in found.rows:
        own = [
            e
            for e, who in zip(row.trials.e, row.trials.group, strict=True)
            if who == name
        ]
        others = [
            e
            for e, who in zip(row.trials.e, row.trials.group, strict=True)
            if who != name
        ]
        if len(own) > 1 and len(others) > 1:
            gap = abs(float(np.mean(own) - np.mean(others)))
            noise = sqrt(
                np.var(own, ddof=1) / len(own) + np.var(others, ddof=1) / len(others)
            )
            if noise > 0 and gap / noise > far:
                far, which = gap / noise, row
    if which is not None and far > 3:
        return (
            f"Your {plain(which.ball or 'ball')} bounced otherwise than in the other "
            "groups' hands. Was it the ball, the place, or the way of reading?"
        )
    return (
        "If you dropped each ball a hundred times, which part of the ± would become "
        "small, and which would stay? Why?"
    )
