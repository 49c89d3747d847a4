"""Look for readings that a person should see again, and say why.

`check_drops` runs every check of `CHECKS` over a table of drops. Nothing is
changed or dropped: each finding names a cell, gives a reason and a cure, and
the person decides. Each cell gets one reason, the most telling one.

`CHECKS` says what each check catches and misses. Its rates were measured on 400
invented classes of 8 groups that drop 8 kinds of balls three or five times
(`tests/makers`), with one slip planted in each; a caught slip may bear the name
of another check. Of 40 000 good readings of 13 styles of classes, from one
trial a ball to twenty, fewer than 1 in 1000 were called doubtful, and in no
style more than 1 in 200.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bouncelab.readings.columns import columns_of
from bouncelab.readings.copies import copy_doubts
from bouncelab.readings.drops import Drops, Finding, with_findings
from bouncelab.readings.gauges import pressure_doubts, temperature_doubts
from bouncelab.readings.likes import likes_of
from bouncelab.readings.said import Said
from bouncelab.readings.slips import height_doubts

__all__ = ["CHECKS", "Check", "check_drops"]


@dataclass(frozen=True, slots=True)
class Check:
    """What one check is good for.

    Attributes
    ----------
    name : str
        Its name, as in `Finding.check`.
    catches, misses : str
        What it catches and what it cannot see, in plain words.
    measured : tuple of (str, float)
        Slips planted in invented classes, and the share of them that was caught.
    """

    name: str
    catches: str
    misses: str
    measured: tuple[tuple[str, float], ...] = ()


CHECKS = (
    Check(
        "rebound above drop",
        "A ball that comes back higher than it fell, which cannot be; also two "
        "heights that changed places. The drop is left out until it is corrected.",
        "Heights read at different points of a ball whose diameter nobody knows.",
        (("rebound above the drop", 1.0), ("heights exchanged", 1.0)),
    ),
    Check(
        "rebound equals drop",
        "A rebound that is the same number as the drop.",
        "A drop height typed again with another rounding.",
        (("rebound equal to the drop", 1.0),),
    ),
    Check(
        "too lively",
        "A ball that keeps more than 93 % of its height.",
        "Anything less lively that its own trials do not contradict.",
    ),
    Check(
        "unit slip",
        "Inches typed as centimetres, or the reverse: one height, both heights of a "
        "drop, or all drops of a group, beside like drops.",
        "A group that is alone with its ball and always reads in the wrong unit; a "
        "single ball whose rebounds alone are all in inches (it may be flat).",
        (
            ("rebound in inches", 1.0),
            ("drop in inches", 1.0),
            ("both in inches", 1.0),
            ("a whole group in inches", 1.0),
            ("a group's rebounds in inches", 0.98),
        ),
    ),
    Check(
        "digit slip",
        "A misplaced point, an extra or lost zero, two neighbours exchanged, a digit "
        "typed twice, the hundred lost: where the mended number agrees with like "
        "drops.",
        "A slip of the last digit, which is no larger than the scatter of bounces.",
        (
            ("point slipped", 1.0),
            ("extra zero", 1.0),
            ("metres in a cm column", 1.0),
            ("two digits exchanged", 1.0),
            ("the hundred left out", 1.0),
        ),
    ),
    Check(
        "points mixed up",
        "The top of the ball read for the bottom, or the reverse: a shift of one "
        "diameter from the other trials, from two or more other groups, or above "
        "what a published range lets that kind of ball do.",
        "Whole groups with small balls, or where balls of a kind differ much; "
        "about a third where only two other groups dropped the ball; and, with "
        "fewer, a quarter with basketballs and futsal balls and all others.",
        (("top read once", 0.99), ("top read by a whole group", 0.97)),
    ),
    Check(
        "far from its trials",
        "A rebound far from the middle of three or more trials, by the modified "
        "z-score; the scatter is steadied by the other trials of group and class.",
        "Half of the slips of a twentieth of the drop height; all in fewer than three "
        "trials; two bad drops out of three.",
        (
            ("off by a twentieth of the drop", 0.49),
            ("off by a tenth of the drop", 0.98),
            ("off by a fifth of the drop", 1.0),
        ),
    ),
    Check(
        "unlikely height",
        "A drop from more than 5 m or less than 3 cm.",
        "Any other height that the whole table shares.",
    ),
    Check(
        "absolute for gauge",
        "A pressure one atmosphere above the ball's other drops, or so high that only "
        "an absolute one can be meant; and one below the air outside the ball.",
        "Absolute pressures of a whole class, for balls with no marked maximum.",
        (("absolute for gauge", 1.0), ("absolute by a whole group", 1.0)),
    ),
    Check(
        "pressure unit slip",
        "kPa, psi and bar exchanged, where the other unit gives a pressure that the "
        "ball's other drops had and the bounce agrees.",
        "A slip that lands on a pressure that another group used.",
        (
            ("psi in a kPa column", 1.0),
            ("bar in a kPa column", 1.0),
            ("psi by a whole group", 1.0),
        ),
    ),
    Check(
        "unlikely pressure",
        "A pressure 25 % above the ball's marked maximum.",
        "Pressures that are only a little too high.",
    ),
    Check(
        "°F for °C",
        "50 °C and more; and a freezing °F that is an ordinary number of °C.",
        "A ball that was really heated past 50 °C is asked about too.",
        (("°F in a °C column", 1.0),),
    ),
    Check(
        "copied row",
        "The same group, ball, conditions and trial number twice.",
        "Copies with a new trial number, or in a table without trial numbers.",
        (("row pasted twice", 1.0),),
    ),
    Check(
        "copied run",
        "A run of readings equal to another group's that chance would give in one "
        "class of a thousand: about eight rows read to the centimetre.",
        "Shorter runs, single trials of each ball, runs copied with changes.",
        (("ten rows of another group", 0.97),),
    ),
)


def check_drops(drops: Drops) -> Drops:
    """Look for doubtful readings.

    Parameters
    ----------
    drops : Drops
        A table of drops as read.

    Returns
    -------
    Drops
        The same numbers, with the findings added and the flags made new.

    Examples
    --------
    >>> from bouncelab.readings.drops import read_rows
    >>> rows = [["100", "62"], ["100", "64"], ["100", "61"], ["100", "25"]]
    >>> found = check_drops(read_rows(["drop (cm)", "rebound (cm)"], rows))
    >>> print(found.findings[0].check, "-", found.findings[0].cure)
    unit slip - If you read inches, write 25 in.
    """
    if drops.table.empty:
        return drops
    columns = columns_of(drops)
    likes = likes_of(columns)
    said = Said(drops)
    lines = drops.table.index.to_numpy(dtype=np.intp)
    taken = {(each.row, each.column) for each in drops.findings}
    added: list[Finding] = []
    for doubts in (
        height_doubts(columns, likes, said) if likes.at.size else (),
        pressure_doubts(columns, said),
        temperature_doubts(columns, said),
        copy_doubts(columns, lines),
    ):
        for doubt in doubts:
            row = int(lines[doubt.at])
            if (row, doubt.column) in taken:
                continue
            taken.add((row, doubt.column))
            read = said.text(doubt.at, doubt.column) if doubt.column else ""
            added.append(
                Finding(
                    row=row,
                    column=doubt.column,
                    read=read,
                    why=doubt.why,
                    cure=doubt.cure,
                    check=doubt.check,
                    weight=doubt.weight,
                )
            )
    return with_findings(drops, tuple(added)) if added else drops
