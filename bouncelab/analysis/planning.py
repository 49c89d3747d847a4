"""A lesson on the floor, planned: groups, drops, order, time, and what can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil, isfinite
from typing import Any

from bouncelab.analysis.foresight import (
    POWER,
    Assumed,
    chance_to_see,
    expected_expanded,
    smallest_difference,
)
from bouncelab.analysis.rota import Turn, rota
from bouncelab.analysis.words import percent, plain
from bouncelab.errors import InputError

__all__ = ["Plan", "plan_lesson"]

_SMALL, _USUAL, _LARGE = 2, 4, 5  # students in a group
_FEW, _MANY = 3, 10  # drops of one ball by one group


@dataclass(frozen=True)
class Plan:
    """A lesson's plan, and what it will be able to tell.

    Attributes
    ----------
    sizes : tuple of int
        Students in each group.
    balls : tuple of str
        Names of the balls.
    rounds : int
        Pressures of each ball.
    drops : int
        Of one ball by one group at one pressure.
    turns : tuple of Turn
        Who has which ball when.
    slots : int
        Turns of the lesson, one after the other.
    minutes_needed, minutes : float
        The time it takes, and the time there is.
    difference : float
        In e, worth seeing.
    power : float
        Chance to see it between two balls, all pairs allowed for.
    smallest : float
        Difference that is seen four times out of five.
    expanded : float
        Expected expanded uncertainty of one ball's e.
    meetings : int
        Groups that drop a given ball.
    reasons : tuple of str
        What does not go as wished, and what would help.
    assumed : Assumed
        What it rests on.
    """

    sizes: tuple[int, ...]
    balls: tuple[str, ...]
    rounds: int
    drops: int
    turns: tuple[Turn, ...] = field(repr=False)
    slots: int
    minutes_needed: float
    minutes: float
    difference: float
    power: float
    smallest: float
    expanded: float
    meetings: int
    reasons: tuple[str, ...]
    assumed: Assumed

    @property
    def good(self) -> bool:
        """Whether the difference worth seeing is seen four times out of five."""
        return self.power >= POWER

    @property
    def starts(self) -> list[float]:
        """Minutes from the start of the lesson at which each slot begins."""
        told, each = self.assumed, _slot_minutes(self.drops, self.assumed)
        per_round = max(self.slots // max(self.rounds, 1), 1)
        pump = (self.minutes_needed - told.begin_minutes - told.end_minutes) - (
            self.slots * each * (1 + told.slack)
        )
        pause = max(pump, 0.0) / max(self.rounds - 1, 1)
        return [
            told.begin_minutes
            + slot * each * (1 + told.slack)
            + (slot // per_round) * pause
            for slot in range(self.slots)
        ]

    @property
    def words(self) -> list[str]:
        """The plan in sentences."""
        sizes = sorted(set(self.sizes))
        size = " or ".join(map(str, sizes))
        said = [
            f"{_some(len(self.sizes), 'group')} of {size} students, "
            f"{len(self.balls)} balls"
            + (f" at {self.rounds} pressures each" if self.rounds > 1 else "")
            + f": {self.drops} drops of each ball by each group that has it, "
            f"{len(self.turns) * self.drops} drops in all, in {self.slots} turns.",
            f"It takes about {self.minutes_needed:.0f} of {self.minutes:.0f} minutes, "
            f"{self.assumed.begin_minutes:.0f} to begin and "
            f"{self.assumed.end_minutes:.0f} to end among them.",
            f"Each ball's e will be known to about ± {self.expanded:.3f}.",
        ]
        if isfinite(self.smallest):
            said.append(
                f"A difference of {self.difference:g} between two balls is seen in "
                f"{percent(self.power)} of such lessons; four times out of five one of "
                f"{self.smallest:.3f} is seen."
            )
        return [*said, *self.reasons]

    def to_dict(self) -> dict[str, Any]:
        """Give plain values for JSON."""
        return {
            "groups": len(self.sizes),
            "sizes": list(self.sizes),
            "balls": list(self.balls),
            "pressures": self.rounds,
            "drops": self.drops,
            "slots": self.slots,
            "minutes_needed": plain(self.minutes_needed),
            "difference": self.difference,
            "power": plain(self.power),
            "smallest_difference": plain(self.smallest),
            "U_e": plain(self.expanded),
            "turns": [
                {
                    "slot": turn.slot + 1,
                    "starts_minute": plain(round(self.starts[turn.slot], 1)),
                    "group": turn.group + 1,
                    "ball": self.balls[turn.ball],
                    "pressure": turn.round + 1,
                }
                for turn in self.turns
            ],
            "why": " ".join(self.reasons) or None,
        }


def plan_lesson(
    *,
    students: int,
    balls: Sequence[str] | int,
    tapes: int,
    minutes: float = 45.0,
    pumps: int = 0,
    pressures: int = 1,
    difference: float = 0.02,
    seed: str = "",
    assumed: Assumed | None = None,
) -> Plan:
    """Plan who drops which ball when, and say what the lesson can tell.

    Parameters
    ----------
    students, tapes, pumps : int
        How many there are.
    balls : sequence of str or int
        Their names, or how many.
    minutes : float, optional
        Length of the lesson.
    pressures : int, optional
        How many each ball is given.
    difference : float, optional
        Difference in e that is worth seeing.
    seed : str, optional
        The same text draws the same order.
    assumed : Assumed, optional
        What is taken for granted.

    Returns
    -------
    Plan
        Balanced as far as the time allows.

    Raises
    ------
    InputError
        If there are too few students, balls, tapes, pumps or minutes for any plan.

    Notes
    -----
    Every group meets every ball in the order of a Williams square, drawn by lot; if
    time is short, fewer of them. Balls are compared within groups, so the chance to
    see a difference is that of a paired t test on the groups, at a risk of 0.05
    shared among all pairs; with one group it is that of the drops.

    Examples
    --------
    >>> plan = plan_lesson(students=28, balls=4, tapes=7, difference=0.02)
    >>> len(plan.sizes), plan.good
    (7, True)
    """
    told = assumed or Assumed()
    names = (
        tuple(f"ball {chr(65 + k)}" for k in range(balls))
        if isinstance(balls, int)
        else tuple(balls)
    )
    _refuse(students, names, tapes, minutes, pumps, pressures, difference, told)
    sizes = _sizes(students, tapes)
    reasons = []
    if max(sizes) > _LARGE:
        reasons.append(
            f"Groups of {max(sizes)} leave some with nothing to do: "
            f"{_some(ceil(students / _USUAL) - tapes, 'more tape')} would help."
        )
    room = (minutes - told.begin_minutes - told.end_minutes) / (1 + told.slack)
    room -= (pressures - 1) * _pumping(len(names), pumps, told)
    size = max(len(sizes), len(names))
    turns, drops = _fit(room, size, pressures, told)
    if drops == 0:
        raise InputError(
            what="the time on the floor",
            read=f"{max(room, 0.0):.0f} minutes for {pressures} pressures",
            allowed=f"enough for two balls with {_FEW} drops each by each group",
            do="Take fewer pressures or a longer lesson.",
        )
    if len(sizes) > len(names):
        reasons.append(
            f"In each turn {_some(len(sizes) - len(names), 'group')} without a ball "
            "predict, work in a notebook or rest: more balls would keep them busy."
        )
    if len(sizes) == 1:
        reasons.append(
            "With one group nobody can tell a ball from the way this group handles "
            "it: expect more false alarms than 5 in 100. A second tape and group "
            "would help."
        )
    if turns < size:
        reasons.append(
            f"There is no time for every group to meet every ball: each meets "
            f"{turns if len(names) >= len(sizes) else 'some'} of {len(names)}. Fewer "
            "balls, or more time, would let all comparisons be made within groups."
        )
    order = rota(len(sizes), len(names), rounds=pressures, turns=turns, seed=seed)
    together = _together(order, len(names))
    pairs = len(names) * (len(names) - 1) // 2
    power = chance_to_see(difference, together, drops, pairs, told)
    smallest = smallest_difference(together, drops, pairs, told)
    meetings = max(1, round(len(order) / (len(names) * pressures)))
    slots = pressures * turns
    needed = (slots * _slot_minutes(drops, told)) * (1 + told.slack)
    needed += (pressures - 1) * _pumping(len(names), pumps, told) * (1 + told.slack)
    needed += told.begin_minutes + told.end_minutes
    if power < POWER:
        reasons.append(_help(difference, smallest, len(sizes), turns, size))
    return Plan(
        sizes=sizes,
        balls=names,
        rounds=pressures,
        drops=drops,
        turns=tuple(order),
        slots=slots,
        minutes_needed=needed,
        minutes=minutes,
        difference=difference,
        power=power,
        smallest=smallest,
        expanded=expected_expanded(meetings, drops, told),
        meetings=meetings,
        reasons=tuple(reasons),
        assumed=told,
    )


def _refuse(
    students: int,
    names: Sequence[str],
    tapes: int,
    minutes: float,
    pumps: int,
    pressures: int,
    difference: float,
    told: Assumed,
) -> None:
    least = told.begin_minutes + told.end_minutes
    for what, read, allowed, bad, do in (
        ("students", students, "2 or more", students < _SMALL, "One drops, one reads."),
        (
            "balls",
            len(names),
            "2 or more, each name once",
            len(names) < 2 or len(set(names)) < len(names),
            "Compare at least two.",
        ),
        ("tapes", tapes, "1 or more", tapes < 1, "A metre stick on a wall will do."),
        (
            "pressures",
            pressures,
            "1 or more",
            pressures < 1,
            "1 leaves balls as they are.",
        ),
        (
            "pumps",
            pumps,
            "1 or more, for several pressures",
            pumps < 0 or (pressures > 1 and pumps < 1),
            "Find a pump with a gauge.",
        ),
        (
            "minutes",
            f"{minutes:g}",
            f"more than {least:.0f}: so long it takes to begin and end",
            not minutes > least,
            "Take a longer lesson.",
        ),
        (
            "the difference worth seeing",
            f"{difference:g}",
            "above 0 and below 1, in e",
            not 0 < difference < 1,
            "0.02 is a difference that players feel.",
        ),
    ):
        if bad:
            raise InputError(what, str(read), allowed, do)


def _sizes(students: int, tapes: int) -> tuple[int, ...]:
    groups = max(1, min(tapes, students // _SMALL, ceil(students / _USUAL)))
    small, more = divmod(students, groups)
    return (small + 1,) * more + (small,) * (groups - more)


def _slot_minutes(drops: int, told: Assumed) -> float:
    return (told.change_seconds + drops * told.drop_seconds) / 60


def _pumping(balls: int, pumps: int, told: Assumed) -> float:
    return ceil(balls / max(pumps, 1)) * told.pump_seconds / 60


def _fit(room: float, size: int, rounds: int, told: Assumed) -> tuple[int, int]:
    """Give turns in a round and drops in a turn: all turns if three drops fit."""
    for turns in range(size, 1, -1):
        each = room / (turns * rounds)
        drops = int((each * 60 - told.change_seconds) // told.drop_seconds)
        if drops >= _FEW:
            return turns, min(drops, _MANY)
    return 0, 0


def _together(order: Sequence[Turn], balls: int) -> int:
    """Give how many groups drop both of two balls, at the least."""
    met: dict[int, set[int]] = {}
    for turn in order:
        met.setdefault(turn.ball, set()).add(turn.group)
    return min(
        (
            len(met.get(a, set()) & met.get(b, set()))
            for a in range(balls)
            for b in range(a)
        ),
        default=0,
    )


def _some(count: int, noun: str) -> str:
    return f"{count} {noun}{'s' * (count != 1)}"


def _help(gap: float, smallest: float, groups: int, turns: int, size: int) -> str:
    if not isfinite(smallest):
        return "Too few groups drop the same balls: nothing can be told with any trust."
    said = (
        f"A difference of {gap:g} will often be missed; one of {smallest:.3f} is seen."
    )
    if turns < size:
        return f"{said} Fewer balls would help most."
    if groups < 4:
        return f"{said} More groups, with a tape each, would help most."
    return f"{said} Fewer balls, or a second lesson with the same plan, would help."
