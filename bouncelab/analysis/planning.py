"""A lesson on the floor, planned: groups, drops, order, time, and what can be seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from math import isfinite
from typing import Any

from bouncelab.analysis.foresight import (
    POWER,
    Assumed,
    Meeting,
    chance_to_see,
    expected_expanded,
    expected_gap,
    smallest_difference,
)
from bouncelab.analysis.plan_limits import (
    Wish,
    fit_turns,
    group_sizes,
    minutes_for,
    refuse,
    turn_minutes,
)
from bouncelab.analysis.rota import Turn, pressures_of, rota
from bouncelab.analysis.words import percent, plain
from bouncelab.errors import InputError

__all__ = ["Plan", "plan_lesson"]

_LARGE = 5  # students in a group; more have nothing to do
_LONGER = (10, 20, 30, 45, 60)  # minutes that might be found


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
    orders : tuple of tuple of int
        For each ball its pressures from round to round, 1 the lowest.
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
    expanded_gap : float
        The same of a difference between two balls.
    hardest : tuple of int
        The two balls for which `power`, `smallest` and `expanded_gap` are worst.
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
    orders: tuple[tuple[int, ...], ...]
    slots: int
    minutes_needed: float
    minutes: float
    difference: float
    power: float
    smallest: float
    expanded: float
    expanded_gap: float
    hardest: tuple[int, int]
    reasons: tuple[str, ...]
    assumed: Assumed

    @property
    def good(self) -> bool:
        """Whether the difference worth seeing is seen four times out of five."""
        return self.power >= POWER

    @property
    def starts(self) -> list[float]:
        """Minutes from the start of the lesson at which each slot begins."""
        told, each = self.assumed, turn_minutes(self.drops, self.assumed)
        each *= 1 + told.slack
        floor = self.minutes_needed - told.begin_minutes - told.end_minutes
        pause = (floor - self.slots * each) / max(self.rounds - 1, 1)
        in_round = self.slots // self.rounds
        return [
            told.begin_minutes + slot * each + (slot // in_round) * max(pause, 0.0)
            for slot in range(self.slots)
        ]

    def pressure(self, turn: Turn) -> int:
        """Give which of its ball's pressures a turn has, 1 the lowest."""
        return self.orders[turn.ball][turn.round]

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
            f"Each ball's e will be known to about ± {self.expanded:.3f}"
            + (
                f", a difference of two to about ± {self.expanded_gap:.3f}."
                if isfinite(self.expanded_gap)
                else "."
            ),
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
            "U_difference": plain(self.expanded_gap),
            "turns": [
                {
                    "slot": turn.slot + 1,
                    "starts_minute": plain(round(self.starts[turn.slot], 1)),
                    "group": turn.group + 1,
                    "ball": self.balls[turn.ball],
                    "pressure": self.pressure(turn),
                }
                for turn in self.turns
            ],
            "assumed": self.assumed.to_dict(),
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
    shared among all pairs, for the two balls that have fewest groups in common.

    Examples
    --------
    >>> plan = plan_lesson(students=28, balls=4, tapes=7, difference=0.02)
    >>> len(plan.sizes), plan.good
    (7, True)
    """
    names = [_name(k) for k in range(balls)] if isinstance(balls, int) else balls
    wish = Wish(
        students=students,
        balls=tuple(names),
        tapes=tapes,
        minutes=minutes,
        pumps=pumps,
        pressures=pressures,
        difference=difference,
        seed=seed,
        assumed=assumed or Assumed(),
    )
    refuse(wish)
    made = _made(wish)
    return replace(made, reasons=(*_reasons(wish, made), *_instead(wish, made)))


def _name(k: int) -> str:
    return f"ball {chr(65 + k)}" if k < 26 else f"ball {k + 1}"


def _made(wish: Wish) -> Plan:
    """Give the plan without its reasons."""
    told, names = wish.assumed, wish.balls
    sizes = group_sizes(wish.students, wish.tapes)
    turns, drops = fit_turns(wish, max(len(sizes), len(names)))
    order = rota(
        len(sizes), len(names), rounds=wish.pressures, turns=turns, seed=wish.seed
    )
    orders = pressures_of(len(names), range(1, wish.pressures + 1), wish.seed)
    pairs = len(names) * (len(names) - 1) // 2
    met = [{turn.group for turn in order if turn.ball == k} for k in range(len(names))]
    chances = {
        each: chance_to_see(wish.difference, each, drops, pairs, told)
        for each in {_meeting(a, b) for a, b in combinations(met, 2)}
    }
    worst = min(chances, key=lambda each: (chances[each], each.shared))
    hardest = next(
        (a, b)
        for a, b in combinations(range(len(names)), 2)
        if _meeting(met[a], met[b]) == worst
    )
    return Plan(
        sizes=sizes,
        balls=names,
        rounds=wish.pressures,
        drops=drops,
        turns=tuple(order),
        orders=tuple(tuple(map(int, each)) for each in orders),
        slots=wish.pressures * turns,
        minutes_needed=minutes_for(wish, turns=turns, drops=drops),
        minutes=wish.minutes,
        difference=wish.difference,
        power=chances[worst],
        smallest=smallest_difference(worst, drops, pairs, told),
        expanded=expected_expanded(max(1, min(map(len, met))), drops, told),
        expanded_gap=expected_gap(worst, drops, told),
        hardest=hardest,
        reasons=(),
        assumed=told,
    )


def _meeting(a: set[int], b: set[int]) -> Meeting:
    fewer, more = sorted((len(a), len(b)))
    return Meeting(len(a & b), fewer, more)


def _reasons(wish: Wish, plan: Plan) -> list[str]:
    """Say what does not go as wished, apart from what cannot be seen."""
    groups, balls = len(plan.sizes), len(plan.balls)
    said = []
    if max(plan.sizes) > _LARGE:
        more = len(group_sizes(wish.students, wish.students)) - groups
        said.append(
            f"Groups of {max(plan.sizes)} leave some with nothing to do: "
            f"{_some(more, 'more tape')} would help."
        )
    if groups > balls:
        said.append(
            f"In each turn {_some(groups - balls, 'group')} without a ball predict, "
            "work in a notebook or rest: more balls would keep them busy."
        )
    if groups == 1:
        said.append(
            "With one group nobody can tell a ball from the way this group handles "
            "it: expect more false alarms than 5 in 100. A second tape and group "
            "would help."
        )
    if plan.slots // plan.rounds < max(groups, balls):
        counts = sorted(
            {
                sum(turn.group == k and not turn.round for turn in plan.turns)
                for k in range(groups)
            }
        )
        said.append(
            "There is no time for every group to meet every ball: each meets "
            f"{' or '.join(map(str, counts))} of {balls}."
        )
    return said


def _instead(wish: Wish, plan: Plan) -> list[str]:
    """Say what can be seen instead, and what to cut, if the wish is too much."""
    if plan.good:
        return []
    gap = f"A difference of {plan.difference:g}"
    said = (
        f"{gap} will often be missed; one of {plan.smallest:.3f} is seen."
        if isfinite(plan.smallest)
        else "A ball cannot be told from the group that drops it."
    )
    fewer = range(wish.pressures - 1, 0, -1)
    ways = []
    for tries in (
        [(_some(k, "pressure"), replace(wish, pressures=k)) for k in fewer],
        [
            (f"{k} balls", replace(wish, balls=wish.balls[:k]))
            for k in range(len(wish.balls) - 1, 1, -1)
        ],
        [
            (f"{wish.minutes + k:.0f} minutes", replace(wish, minutes=wish.minutes + k))
            for k in _LONGER
        ],
    ):
        ways += [words for words, other in tries if _sees(other)][:1]
    if not ways:
        return [said, "More groups, with a tape each, or a second lesson would help."]
    return [said, f"It would be seen with {', or with '.join(ways)}."]


def _sees(wish: Wish) -> bool:
    try:
        refuse(wish)
    except InputError:
        return False
    return _made(wish).good


def _some(count: int, noun: str) -> str:
    return f"{count} {noun}{'s' * (count != 1)}"
