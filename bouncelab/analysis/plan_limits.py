"""What a lesson has room for: people, things and minutes."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from bouncelab.analysis.foresight import Assumed
from bouncelab.errors import InputError

__all__ = ["Wish", "fit_turns", "group_sizes", "minutes_for", "refuse"]

_SMALL, _USUAL = 2, 4  # students in a group
_FEW, _MANY = 3, 10  # drops of one ball by one group
_DAY = 1440.0  # min
_BALLS, _STUDENTS, _PRESSURES = 40, 400, 12  # more is no lesson


@dataclass(frozen=True, slots=True)
class Wish:
    """What a teacher has and wants.

    Attributes
    ----------
    students, tapes, pumps, pressures : int
        How many there are; pressures are for each ball.
    balls : tuple of str
        Their names.
    minutes : float
        Length of the lesson.
    difference : float
        In e, worth seeing.
    seed : str
        Draws the order.
    assumed : Assumed
        What is taken for granted.
    """

    students: int
    balls: tuple[str, ...]
    tapes: int
    minutes: float
    pumps: int
    pressures: int
    difference: float
    seed: str
    assumed: Assumed


def refuse(wish: Wish) -> None:
    """Say what makes any plan impossible.

    Parameters
    ----------
    wish : Wish
        What a teacher has and wants.

    Raises
    ------
    InputError
        If there are too few or too many of something, or too few minutes.
    """
    names = wish.balls
    least = minutes_for(wish, turns=2, drops=_FEW)
    alike = len({each.strip().casefold() for each in names}) < len(names)
    for what, read, allowed, bad, do in (
        (
            "students",
            wish.students,
            f"{_SMALL} to {_STUDENTS}",
            not _SMALL <= wish.students <= _STUDENTS,
            "One drops, one reads. Plan each class by itself.",
        ),
        (
            "balls",
            len(names),
            f"2 to {_BALLS}, each name once",
            not 2 <= len(names) <= _BALLS or alike,
            "Compare at least two, and give each a name of its own.",
        ),
        (
            "tapes",
            wish.tapes,
            "1 or more",
            wish.tapes < 1,
            "A metre stick on a wall will do.",
        ),
        (
            "pressures",
            wish.pressures,
            f"1 to {_PRESSURES}",
            not 1 <= wish.pressures <= _PRESSURES,
            "1 leaves balls as they are.",
        ),
        (
            "pumps",
            wish.pumps,
            "1 or more, for several pressures",
            wish.pumps < 0 or (wish.pressures > 1 and wish.pumps < 1),
            "Find a pump with a gauge, or plan with 1 pressure.",
        ),
        (
            "the difference worth seeing",
            f"{wish.difference:g}",
            "above 0 and below 1, in e",
            not 0 < wish.difference < 1,
            "0.02 is a difference that players feel.",
        ),
        (
            "minutes",
            f"{wish.minutes:g}",
            f"{ceil(least)} to {_DAY:g}: so long it takes to begin, to drop two balls "
            f"{_FEW} times each"
            + (f" at {wish.pressures} pressures" if wish.pressures > 1 else "")
            + ", and to end",
            not least <= wish.minutes <= _DAY,
            "Take a longer lesson"
            + (", fewer pressures" if wish.pressures > 1 else "")
            + ", or set out before it begins.",
        ),
    ):
        if bad:
            raise InputError(what, str(read), allowed, do)


def group_sizes(students: int, tapes: int) -> tuple[int, ...]:
    """Give the students of each group: four if there are tapes for it.

    Parameters
    ----------
    students, tapes : int
        How many there are; each group needs a tape.

    Returns
    -------
    tuple of int
        At least two in each; no two groups differ by more than one.

    Examples
    --------
    >>> group_sizes(27, 7), group_sizes(5, 3)
    ((4, 4, 4, 4, 4, 4, 3), (3, 2))
    """
    groups = max(1, min(tapes, students // _SMALL, ceil(students / _USUAL)))
    small, more = divmod(students, groups)
    return (small + 1,) * more + (small,) * (groups - more)


def turn_minutes(drops: int, told: Assumed) -> float:
    """Give the minutes of one turn, if nothing goes wrong.

    Parameters
    ----------
    drops : int
        Of one ball.
    told : Assumed
        What is taken for granted.

    Returns
    -------
    float
        With passing the balls on.
    """
    return (told.change_seconds + drops * told.drop_seconds) / 60


def minutes_for(wish: Wish, *, turns: int, drops: int) -> float:
    """Give the minutes that a lesson takes.

    Parameters
    ----------
    wish : Wish
        What a teacher has.
    turns, drops : int
        Turns at each pressure, and drops in each.

    Returns
    -------
    float
        With beginning, pumping, what always takes longer, and ending.
    """
    told = wish.assumed
    floor = wish.pressures * turns * turn_minutes(drops, told) + _pumping(wish)
    return floor * (1 + told.slack) + told.begin_minutes + told.end_minutes


def _pumping(wish: Wish) -> float:
    """Give the minutes in which all balls are brought to their next pressures."""
    each = ceil(len(wish.balls) / max(wish.pumps, 1)) * wish.assumed.pump_seconds / 60
    return (wish.pressures - 1) * each


def fit_turns(wish: Wish, size: int) -> tuple[int, int]:
    """Give turns at each pressure and drops in a turn; all turns if drops allow.

    Parameters
    ----------
    wish : Wish
        What a teacher has.
    size : int
        Turns in which every group meets every ball.

    Returns
    -------
    tuple of int
        Both 0 if there is no time for two turns of three drops.
    """
    for turns in range(size, 1, -1):
        for drops in range(_MANY, _FEW - 1, -1):
            if minutes_for(wish, turns=turns, drops=drops) <= wish.minutes + 1e-9:
                return turns, drops
    return 0, 0
